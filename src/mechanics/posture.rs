//! A posture in the side view: angles, where the load is, and the linkage of joints it gives.
//!
//! Leans on `anthropometry` for lengths and masses. Leaves to others: forces and moments
//! (`lumbar`, `joints`) and which exercise has which posture (the base).

use super::anthropometry::{Body, Length, Limb};
use super::{Error, limits};
use crate::units::{Degree, Kg, Metre, bounds};

/// A lift at its hardest instant. Every value in it has passed its bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Posture {
    trunk: Degree,
    knee: Degree,
    load: LoadPosition,
    shank: Shank,
    arm: Option<ArmAngles>,
    support: f64,
    dynamic: f64,
}

impl Posture {
    /// A posture from trunk angle (from vertical, forwards positive), included knee angle (180 is
    /// straight) and load position; unsupported, slow, shank found by balance.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for an angle or a distance outside its bound.
    pub fn new(trunk: Degree, knee: Degree, load: LoadPosition) -> Result<Self, Error> {
        bounds::TRUNK_ANGLE.check(trunk.get())?;
        bounds::KNEE_ANGLE.check(knee.get())?;
        load.check()?;
        Ok(Self { trunk, knee, load, shank: Shank::Balanced, arm: None, support: 1.0, dynamic: DYNAMIC_SLOW })
    }

    /// The same posture with a shank angle from vertical, knee forwards positive.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for an angle outside its bound.
    pub fn with_shank(mut self, shank: Degree) -> Result<Self, Error> {
        limits::SHANK_ANGLE.check(shank.get())?;
        self.shank = Shank::Given(shank);
        Ok(self)
    }

    /// The same posture with given arm angles instead of a straight arm to the load.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for an angle outside its bound.
    pub fn with_arm(mut self, arm: ArmAngles) -> Result<Self, Error> {
        limits::SEGMENT_ANGLE.check(arm.upper_arm.get())?;
        limits::SEGMENT_ANGLE.check(arm.forearm.get())?;
        self.arm = Some(arm);
        Ok(self)
    }

    /// The same posture with part of the trunk carried: factor on compression, 1 for none.
    /// [`HAND_ON_BENCH`] is the published direction for one propping hand.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for a factor outside 0 to 1.
    pub fn with_support(mut self, factor: f64) -> Result<Self, Error> {
        self.support = limits::SUPPORT_FACTOR.check(factor)?;
        Ok(self)
    }

    /// The same posture at speed: factor on moment and weight, see [`DYNAMIC_SLOW`] and on.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for a factor outside 1 to 2.
    pub fn with_dynamic(mut self, factor: f64) -> Result<Self, Error> {
        self.dynamic = limits::DYNAMIC_FACTOR.check(factor)?;
        Ok(self)
    }

    /// Trunk angle from vertical.
    #[must_use]
    pub fn trunk(&self) -> Degree {
        self.trunk
    }

    /// Included knee angle.
    #[must_use]
    pub fn knee(&self) -> Degree {
        self.knee
    }

    /// Where the load is.
    #[must_use]
    pub fn load(&self) -> LoadPosition {
        self.load
    }

    /// Factor on compression for a carried trunk.
    #[must_use]
    pub fn support(&self) -> f64 {
        self.support
    }

    /// Factor on moment and weight for speed.
    #[must_use]
    pub fn dynamic(&self) -> f64 {
        self.dynamic
    }

    /// The directions of all segments for `body` under `load`.
    ///
    /// # Errors
    /// [`Error::OutOfReach`] when a straight arm cannot get to the load, and
    /// [`Error::NoBalance`] when the shank is to be found and none keeps the feet under the mass.
    pub fn pose(&self, body: &Body, load: Kg) -> Result<Pose, Error> {
        bounds::LOAD.check(load.get())?;
        let arm = self.arm_angles(body)?;
        match self.shank {
            Shank::Given(shank) => Ok(self.pose_with(shank, arm)),
            Shank::Balanced => self.balanced(body, load, arm),
        }
    }

    /// Checks that the load of a two-foot free-weight lift stays within [`LOAD_OFF_FOOT`] of
    /// mid-foot. Not meant for light loads that are held out on purpose.
    ///
    /// # Errors
    /// [`Error::LoadOffFoot`] with the distance, and the errors of [`Posture::pose`].
    pub fn check_load_over_foot(&self, body: &Body, load: Kg) -> Result<(), Error> {
        let linkage = Linkage::new(body, &self.pose(body, load)?);
        let at = linkage.load_point(body, self.load);
        let offset = Metre(at.x - body.mid_foot().get());
        if offset.get().abs() > LOAD_OFF_FOOT.get() {
            return Err(Error::LoadOffFoot { offset, allowed: LOAD_OFF_FOOT });
        }
        Ok(())
    }

    fn arm_angles(&self, body: &Body) -> Result<ArmAngles, Error> {
        if let Some(arm) = self.arm {
            return Ok(arm);
        }
        let forward = match self.load {
            LoadPosition::Trunk { .. } | LoadPosition::Nothing => 0.0,
            LoadPosition::Hang { front } => front.get(),
            LoadPosition::Hands { front, .. } => {
                front.get() - body.length(Length::LumbarToShoulder).get() * self.trunk.sin()
            }
        };
        let reach = body.length(Length::Reach);
        let sine = forward / reach.get();
        if !(-1.0..=1.0).contains(&sine) {
            return Err(Error::OutOfReach { wanted: Metre(forward), reach });
        }
        let angle = Degree(sine.asin().to_degrees());
        Ok(ArmAngles { upper_arm: angle, forearm: angle })
    }

    fn pose_with(&self, shank: Degree, arm: ArmAngles) -> Pose {
        Pose {
            shank,
            thigh: Degree(shank.get() - (180.0 - self.knee.get())),
            trunk: self.trunk,
            upper_arm: arm.upper_arm,
            forearm: arm.forearm,
        }
    }

    /// The shank that brings the common centre over mid-foot with the balance stable: leaning the
    /// shank forwards moves the centre forwards. Over the shank angle `s` the centre is off by
    /// `a + p sin s + q cos s`, because knee and trunk angles are given; three poses yield the
    /// three numbers, and the angle follows without a search.
    fn balanced(&self, body: &Body, load: Kg, arm: ArmAngles) -> Result<Pose, Error> {
        let off = |shank: f64| {
            let linkage = Linkage::new(body, &self.pose_with(Degree(shank), arm));
            centre_x(&linkage.weights(body, load, self.load)) - body.mid_foot().get()
        };
        let (back, upright, forward) = (off(-90.0), off(0.0), off(90.0));
        let a = 0.5 * (forward + back);
        let (p, q) = (0.5 * (forward - back), upright - a);
        let swing = p.hypot(q);
        let (first, last) = SHANK_SEARCH;
        let shank = (-a / swing).asin().to_degrees() - q.atan2(p).to_degrees();
        // The whole turn that brings it closest to upright; NaN, for no balance, stays NaN.
        let shank = shank - 360.0 * (shank / 360.0).round();
        if (first..=last).contains(&shank) {
            return Ok(self.pose_with(Degree(shank), arm));
        }
        let furthest_forward = 90.0 - q.atan2(p).to_degrees();
        let nearest = [first, last, furthest_forward, furthest_forward - 180.0]
            .into_iter()
            .filter(|angle| (first..=last).contains(angle))
            .map(off)
            .fold(f64::INFINITY, |best, next| if next.abs() < best.abs() { next } else { best });
        Err(Error::NoBalance { nearest: Metre(nearest) })
    }
}

/// Where the external load acts. Distances are horizontal unless they say otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LoadPosition {
    /// Lying on the trunk: up the trunk line from L5/S1 and in front of that line.
    Trunk {
        /// Distance up the trunk as a share of body height.
        up_h: f64,
        /// Further distance up the trunk.
        up: Metre,
        /// Distance in front of the trunk line, square to it.
        front: Metre,
    },
    /// Hanging from straight arms: horizontal distance in front of the shoulder.
    Hang {
        /// Negative is towards the feet.
        front: Metre,
    },
    /// Held at a known horizontal distance in front of L5/S1.
    Hands {
        /// Load in front of L5/S1.
        front: Metre,
        /// Centre of the arms in front of L5/S1.
        arms: Metre,
    },
    /// Nothing above L5/S1. A load, if any, hangs from the pelvis at the hip (belt squat).
    Nothing,
}

impl LoadPosition {
    fn check(self) -> Result<(), Error> {
        match self {
            Self::Trunk { up_h, up, front } => {
                limits::UP_TRUNK_SHARE.check(up_h)?;
                limits::OFFSET.check(up.get())?;
                limits::OFFSET.check(front.get())?;
            }
            Self::Hang { front } => {
                limits::OFFSET.check(front.get())?;
            }
            Self::Hands { front, arms } => {
                limits::OFFSET.check(front.get())?;
                limits::OFFSET.check(arms.get())?;
            }
            Self::Nothing => {}
        }
        Ok(())
    }

    /// The segment that the load rests on.
    #[must_use]
    pub fn link(self) -> Link {
        match self {
            Self::Trunk { .. } => Link::UpperBody,
            Self::Hang { .. } | Self::Hands { .. } => Link::Forearm,
            Self::Nothing => Link::Pelvis,
        }
    }
}

/// How the shank angle comes about.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Shank {
    /// Found so that body and load stand over mid-foot.
    Balanced,
    /// Given.
    Given(Degree),
}

/// Directions of upper arm and forearm: 0 hangs down, 90 points forwards, 180 straight up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArmAngles {
    /// Shoulder to elbow.
    pub upper_arm: Degree,
    /// Elbow to hand.
    pub forearm: Degree,
}

/// Directions of all segments in the side view. Legs and trunk count from vertical up, forwards
/// positive; arm segments count from vertical down, forwards positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    shank: Degree,
    thigh: Degree,
    trunk: Degree,
    upper_arm: Degree,
    forearm: Degree,
}

impl Pose {
    /// A pose from free directions; also lying and plank poses, which [`Posture`] does not cover.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for a direction outside -180 to 180 degrees.
    pub fn new(shank: Degree, thigh: Degree, trunk: Degree, upper_arm: Degree, forearm: Degree) -> Result<Self, Error> {
        for angle in [shank, thigh, trunk, upper_arm, forearm] {
            limits::SEGMENT_ANGLE.check(angle.get())?;
        }
        Ok(Self { shank, thigh, trunk, upper_arm, forearm })
    }

    /// Ankle to knee.
    #[must_use]
    pub fn shank(&self) -> Degree {
        self.shank
    }

    /// Knee to hip.
    #[must_use]
    pub fn thigh(&self) -> Degree {
        self.thigh
    }

    /// Hip to shoulder.
    #[must_use]
    pub fn trunk(&self) -> Degree {
        self.trunk
    }

    /// Shoulder to elbow.
    #[must_use]
    pub fn upper_arm(&self) -> Degree {
        self.upper_arm
    }

    /// Elbow to hand.
    #[must_use]
    pub fn forearm(&self) -> Degree {
        self.forearm
    }

    /// Included angle between trunk and thigh, 180 for straight; the hip flexion is 180 less this.
    #[must_use]
    pub fn hip_angle(&self) -> Degree {
        Degree(180.0 - (self.trunk.get() - self.thigh.get()))
    }
}

/// A point in the side view: `x` in front of the ankle, `z` above it, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Forwards.
    pub x: f64,
    /// Upwards.
    pub z: f64,
}

impl Point {
    /// The point `distance` from here in a direction counted from vertical up.
    fn up(self, angle: Degree, distance: f64) -> Self {
        Self { x: self.x + distance * angle.sin(), z: self.z + distance * angle.cos() }
    }

    /// The point `distance` from here in a direction counted from vertical down.
    fn down(self, angle: Degree, distance: f64) -> Self {
        Self { x: self.x + distance * angle.sin(), z: self.z - distance * angle.cos() }
    }
}

/// Segments of the chain in order from the floor up and out to the hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Link {
    /// Both feet, flat under the ankle.
    Foot,
    /// Both shanks.
    Shank,
    /// Both thighs.
    Thigh,
    /// Trunk below L5/S1.
    Pelvis,
    /// Trunk and head above L5/S1.
    UpperBody,
    /// Both upper arms.
    UpperArm,
    /// Both forearms with hands.
    Forearm,
}

/// A mass of the chain and where its centre is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weight {
    /// Segment that carries it.
    pub link: Link,
    /// Mass, both sides together.
    pub mass: Kg,
    /// Centre.
    pub at: Point,
}

/// Joint positions of a pose, ankle at the origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Linkage {
    pose: Pose,
    /// Ankle, the origin.
    pub ankle: Point,
    /// Knee.
    pub knee: Point,
    /// Hip.
    pub hip: Point,
    /// L5/S1.
    pub lumbar: Point,
    /// Shoulder.
    pub shoulder: Point,
    /// Elbow.
    pub elbow: Point,
    /// Wrist.
    pub wrist: Point,
    /// Middle of the grip.
    pub grip: Point,
}

impl Linkage {
    /// Lays the segments of `body` end to end along `pose`.
    #[must_use]
    pub fn new(body: &Body, pose: &Pose) -> Self {
        let length = |which| body.length(which).get();
        let ankle = Point { x: 0.0, z: 0.0 };
        let knee = ankle.up(pose.shank, length(Length::Shank));
        let hip = knee.up(pose.thigh, length(Length::Thigh));
        let lumbar = hip.up(pose.trunk, length(Length::HipToLumbar));
        let shoulder = hip.up(pose.trunk, length(Length::HipToShoulder));
        let elbow = shoulder.down(pose.upper_arm, length(Length::UpperArm));
        let wrist = elbow.down(pose.forearm, length(Length::Forearm));
        let grip = elbow.down(pose.forearm, length(Length::Reach) - length(Length::UpperArm));
        Self { pose: *pose, ankle, knee, hip, lumbar, shoulder, elbow, wrist, grip }
    }

    /// The pose it was laid along.
    #[must_use]
    pub fn pose(&self) -> Pose {
        self.pose
    }

    /// Where a load in `position` acts: on the trunk, at the grip, or at the hip.
    #[must_use]
    pub fn load_point(&self, body: &Body, position: LoadPosition) -> Point {
        match position {
            LoadPosition::Trunk { up_h, up, front } => {
                let along = body.share_of_height(up_h) + up;
                let square = Degree(self.pose.trunk.get() + 90.0);
                self.lumbar.up(self.pose.trunk, along.get()).up(square, front.get())
            }
            LoadPosition::Hang { .. } | LoadPosition::Hands { .. } => self.grip,
            LoadPosition::Nothing => self.hip,
        }
    }

    /// All masses of body and load, from the feet up.
    #[must_use]
    pub fn weights(&self, body: &Body, load: Kg, position: LoadPosition) -> [Weight; 8] {
        let pose = &self.pose;
        let (foot, shank, thigh) = (body.foot(), body.segment(Limb::Shank), body.segment(Limb::Thigh));
        let (pelvis, upper) = (body.pelvis(), body.upper_body());
        let (upper_arm, forearm) = (body.segment(Limb::UpperArm), body.forearm_and_hand());
        // Tables count shank and thigh from the top; the chain runs from the floor.
        let from_ankle = body.length(Length::Shank) - shank.com;
        let from_knee = body.length(Length::Thigh) - thigh.com;
        let weight = |link, mass, at| Weight { link, mass, at };
        [
            weight(Link::Foot, foot.mass * 2.0, Point { x: foot.com.get(), z: self.ankle.z }),
            weight(Link::Shank, shank.mass * 2.0, self.ankle.up(pose.shank, from_ankle.get())),
            weight(Link::Thigh, thigh.mass * 2.0, self.knee.up(pose.thigh, from_knee.get())),
            weight(Link::Pelvis, pelvis.mass, self.hip.up(pose.trunk, pelvis.com.get())),
            weight(Link::UpperBody, upper.mass, self.lumbar.up(pose.trunk, upper.com.get())),
            weight(Link::UpperArm, upper_arm.mass * 2.0, self.shoulder.down(pose.upper_arm, upper_arm.com.get())),
            weight(Link::Forearm, forearm.mass * 2.0, self.elbow.down(pose.forearm, forearm.com.get())),
            weight(position.link(), load, self.load_point(body, position)),
        ]
    }
}

/// Horizontal position of the common centre of some masses, metres in front of the ankle.
#[must_use]
pub fn centre_x(weights: &[Weight]) -> f64 {
    let mass: f64 = weights.iter().map(|weight| weight.mass.get()).sum();
    let moment: f64 = weights.iter().map(|weight| weight.mass.get() * weight.at.x).sum();
    moment / mass
}

/// Factor on compression when one hand props the trunk (direction Rohlmann 2014, seen; factor derived).
pub const HAND_ON_BENCH: f64 = 0.7;
/// Dynamic factor of slow, tempo and paused work (memory).
pub const DYNAMIC_SLOW: f64 = 1.0;
/// Dynamic factor of a controlled lift (memory).
pub const DYNAMIC_CONTROLLED: f64 = 1.15;
/// Dynamic factor of a walking carry (practice).
pub const DYNAMIC_CARRY: f64 = 1.2;
/// Dynamic factor of a fast lift (memory).
pub const DYNAMIC_FAST: f64 = 1.3;
/// Dynamic factor of ballistic work such as a swing (memory).
pub const DYNAMIC_BALLISTIC: f64 = 1.5;
/// Largest distance of a bar from mid-foot in a two-foot lift (derived, posture tables).
pub const LOAD_OFF_FOOT: Metre = Metre(0.10);

/// Shank angles taken for balance, degrees.
const SHANK_SEARCH: (f64, f64) = (-40.0, 70.0);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::anthropometry::Sex;

    fn body() -> Body {
        Body::new(Kg(80.0), Metre(1.75), Sex::Male).unwrap()
    }

    // Source: lumbar tables, load on the trunk: s sin T + p cos T from L5/S1.
    #[test]
    fn trunk_load_follows_the_formula() {
        let load = LoadPosition::Trunk { up_h: 0.232, up: Metre(0.02), front: Metre(-0.05) };
        let posture = Posture::new(Degree(40.0), Degree(90.0), load).unwrap().with_shank(Degree(30.0)).unwrap();
        let linkage = Linkage::new(&body(), &posture.pose(&body(), Kg(100.0)).unwrap());
        let at = linkage.load_point(&body(), load);
        assert!((at.x - linkage.lumbar.x - 0.2355).abs() < 5e-4);
    }

    // Source: definition of balance.
    #[test]
    fn a_found_shank_puts_the_centre_over_mid_foot() {
        let load = LoadPosition::Hang { front: Metre(-0.05) };
        let posture = Posture::new(Degree(65.0), Degree(125.0), load).unwrap();
        let pose = posture.pose(&body(), Kg(140.0)).unwrap();
        let weights = Linkage::new(&body(), &pose).weights(&body(), Kg(140.0), load);
        assert!((centre_x(&weights) - body().mid_foot().get()).abs() < 1e-9);
        assert!((pose.shank().get() - pose.thigh().get() - 55.0).abs() < 1e-9);
    }

    // Source: table of segment lengths; an upright body has its landmarks at their heights.
    #[test]
    fn upright_landmarks() {
        let zero = Degree(0.0);
        let pose = Pose::new(zero, zero, zero, zero, zero).unwrap();
        let linkage = Linkage::new(&body(), &pose);
        let height = |z: f64| (z + 0.039 * 1.75) / 1.75;
        assert!((height(linkage.knee.z) - 0.285).abs() < 1e-9);
        assert!((height(linkage.hip.z) - 0.530).abs() < 1e-9);
        assert!((height(linkage.shoulder.z) - 0.818).abs() < 1e-9);
        assert!((height(linkage.wrist.z) - 0.485).abs() < 2e-3);
    }

    #[test]
    fn the_arm_has_an_end() {
        let far = LoadPosition::Hang { front: Metre(0.9) };
        let posture = Posture::new(Degree(30.0), Degree(170.0), far).unwrap();
        assert!(matches!(posture.pose(&body(), Kg(10.0)), Err(Error::OutOfReach { .. })));
    }

    #[test]
    fn wrong_postures_are_refused() {
        let nothing = LoadPosition::Nothing;
        assert!(Posture::new(Degree(200.0), Degree(180.0), nothing).is_err());
        assert!(Posture::new(Degree(0.0), Degree(0.0), nothing).is_err());
        let fine = Posture::new(Degree(0.0), Degree(180.0), nothing).unwrap();
        assert!(fine.with_support(1.2).is_err());
        assert!(fine.with_dynamic(0.5).is_err());
        assert!(fine.with_shank(Degree(f64::INFINITY)).is_err());
        assert!(fine.pose(&body(), Kg(-1.0)).is_err());
        let far = LoadPosition::Hands { front: Metre(2.0), arms: Metre(0.2) };
        assert!(Posture::new(Degree(0.0), Degree(180.0), far).is_err());
    }
}
