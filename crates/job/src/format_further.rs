//! The part of `job.json` that holds further templates of a wall.

use serde::{Deserialize, Serialize};

use crate::document::EdgeId;
use crate::error::JobError;
use crate::format::{lengths, number, pair};
use crate::format_template::{TemplateFile, template_from_file, template_to_file};
use crate::further::{Further, Lies};

#[derive(Serialize, Deserialize)]
pub(crate) struct FurtherFile {
    template: TemplateFile,
    lies: LiesFile,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    begins_with_edge: Option<u32>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum LiesFile {
    AsFirst,
    ByBottom { at_mm: [f64; 2], turn_deg: f64 },
}

pub(crate) fn further_to_file(f: &Further) -> FurtherFile {
    FurtherFile {
        template: template_to_file(&f.template),
        lies: match f.lies {
            Lies::AsFirst => LiesFile::AsFirst,
            Lies::ByBottom { across, up, turn_deg } => {
                LiesFile::ByBottom { at_mm: pair((across, up)), turn_deg }
            }
        },
        begins_with_edge: f.begins.map(|e| e.0),
    }
}

pub(crate) fn further_from_file(f: FurtherFile) -> Result<Further, JobError> {
    Ok(Further {
        template: template_from_file(f.template)?,
        lies: match f.lies {
            LiesFile::AsFirst => Lies::AsFirst,
            LiesFile::ByBottom { at_mm, turn_deg } => {
                let (across, up) = lengths(at_mm, "at_mm")?;
                Lies::ByBottom { across, up, turn_deg: number(turn_deg, "turn_deg")? }
            }
        },
        begins: f.begins_with_edge.map(EdgeId),
    })
}
