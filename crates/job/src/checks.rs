//! Everything that would stop or spoil the work, before papers are made.

use coldwright_geometry::Severity;

use crate::document::Job;
use crate::plan::Plan;
use crate::problem::{Problem, Step};

/// The plan's problems, and what is still missing, in the order of the walls and steps.
///
/// # Examples
/// ```
/// use coldwright_job::{checks, plan, Job, Severity};
/// let job = Job::default();
/// assert_eq!(checks(&job, &plan(&job))[0].severity, Severity::Stop);
/// ```
pub fn checks(job: &Job, plan: &Plan) -> Vec<Problem> {
    let mut all = Vec::new();
    if job.walls.is_empty() {
        all.push(Problem {
            step: Step::Photo,
            severity: Severity::Stop,
            wall: None,
            edge: None,
            tick: None,
            sentence: "This job has no wall yet. Add one and trace its template.".to_owned(),
        });
    }
    for wall in &job.walls {
        let Some(p) = plan.wall(wall.id) else { continue };
        all.extend(p.problems.iter().cloned());
        let stopped = p.problems.iter().any(|x| x.severity == Severity::Stop);
        if p.layers.is_none() && !stopped {
            let sentence = format!("{} has no closed outline yet. Trace its template.", wall.name);
            all.push(Problem::new(Step::Outline, Severity::Stop, wall.id, sentence));
        }
    }
    all.extend(plan.shared.iter().cloned());
    all
}
