//! Bounds of the quantities that only the mechanics know, beside those in `units::bounds`.
//!
//! Leans on `units::Bound`. Leaves to others: body mass, height, load, trunk and knee angle, which
//! stand in `units::bounds`. The numbers are wide limits of plausibility (practice).

use crate::units::{Bound, define_bounds};

define_bounds! {
    MUSCLE_ARM = "muscle moment arm", "m", 0.02, 0.2;
    MASS_SHARE = "share of body mass", "", 0.02, 0.7;
    CO_CONTRACTION = "co-contraction", "", 0.0, 0.5;
    LINE_OF_ACTION = "tilt of the back muscles", "deg", -15.0, 15.0;
    DYNAMIC_FACTOR = "dynamic factor", "", 1.0, 2.0;
    SUPPORT_FACTOR = "support factor", "", 0.0, 1.0;
    SEGMENT_ANGLE = "segment angle", "deg", -180.0, 180.0;
    SHANK_ANGLE = "shank angle", "deg", -40.0, 70.0;
    UP_TRUNK_SHARE = "height on the trunk or over it as a share of body height", "", -0.1, 0.65;
    OFFSET = "horizontal offset", "m", -1.2, 1.2;
    FORWARD_OFFSET = "forward offset of the upright upper body", "m", 0.0, 0.06;
    VERTICAL_FORCE = "vertical force", "N", -10_000.0, 10_000.0;
    DISTANCE = "horizontal distance from L5/S1", "m", -2.5, 2.5;
    HAND_FORCE = "hand force", "N", 0.0, 3000.0;
    HEIGHT_OF_FORCE = "height of the hand force above L5/S1", "m", -1.0, 1.5;
    HANDS_SHARE = "share of body weight on the hands", "", 0.0, 1.0;
    COMPRESSION = "compression", "N", 0.0, 400_000.0;
    SIDE_OFFSET = "sideways distance of the load", "m", -0.8, 0.8;
    SECONDS = "time under load", "s", 0.0, 86_400.0;
    LIFFT_MOMENT = "load moment of an industrial lift", "N·m", 0.0, 100.0;
    STRENGTH_SHARE = "share of strength", "%", 0.0, 100.0;
    CYCLES = "cycles", "", 0.0, 1.0e6;
    BODY_WEIGHTS = "force in body weights", "", 0.0, 30.0;
    GRIP_BREADTHS = "grip in shoulder breadths", "", 0.0, 3.0;
    MOMENT = "joint moment", "N·m", -20_000.0, 20_000.0;
    BODY_WEIGHT = "body weight", "N", 200.0, 3500.0;
    NIOSH_LOAD = "moved load", "kg", 0.0, 200.0;
    NIOSH_REACH = "horizontal distance of the hands", "m", 0.0, 2.0;
    NIOSH_HEIGHT = "height of the hands", "m", 0.0, 2.5;
    NIOSH_TRAVEL = "vertical travel", "m", 0.0, 2.5;
    NIOSH_TWIST = "asymmetry angle", "deg", 0.0, 180.0;
    NIOSH_RATE = "lifts a minute", "", 0.0, 60.0;
}

#[cfg(test)]
mod tests {
    use super::ALL;
    use crate::units::bounds;

    #[test]
    fn names_are_distinct_here_and_beside_units() {
        let mut names: Vec<_> = ALL.iter().chain(bounds::ALL).map(|bound| bound.name).collect();
        names.sort_unstable();
        let before = names.len();
        names.dedup();
        assert_eq!(before, names.len());
        assert!(ALL.iter().all(|bound| bound.min < bound.max));
    }
}
