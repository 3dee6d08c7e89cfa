//! The gradient of a coloured picture.

use kurbo::Vec2;

/// The strongest change over the three colours and its direction, after Di Zenzo ("A note on the gradient of a multi-image",
/// 1986), pointing up the brightness; from the gradient of each colour.
pub(crate) fn of_colours(each: [Vec2; 3]) -> Vec2 {
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    let mut bright = Vec2::ZERO;
    for g in each {
        xx += g.x * g.x / 3.0;
        xy += g.x * g.y / 3.0;
        yy += g.y * g.y / 3.0;
        bright += g;
    }
    let most = 0.5 * (xx + yy + ((xx - yy).powi(2) + 4.0 * xy * xy).sqrt());
    let along = Vec2::from_angle(0.5 * (2.0 * xy).atan2(xx - yy)) * most.max(0.0).sqrt();
    if along.dot(bright) < 0.0 { -along } else { along }
}
