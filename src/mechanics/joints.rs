//! Net moments at ankle, knee, hip, low back, shoulder and elbow by statics of the whole chain.
//!
//! Leans on `posture` for the linkage and on `anthropometry` for masses. Leaves to others: muscle
//! forces of the low back (`lumbar`) and grades (`grades`).
//!
//! Both sides move alike, so the chain holds both legs and both arms; moments come as a total and
//! per working side. The ground carries what is left over.

use super::anthropometry::Body;
use super::posture::{Link, Linkage, LoadPosition, Pose, Posture, Weight, centre_x};
use super::{Error, limits};
use crate::units::{GRAVITY, Kg, Metre, Newton, NewtonMetre, bounds};

/// Joint moments of a standing lift, the ground reaction included.
///
/// # Errors
/// Those of [`Posture::pose`].
pub fn standing(body: &Body, posture: &Posture, load: Kg, sides: Sides) -> Result<Standing, Error> {
    let pose = posture.pose(body, load)?;
    let linkage = Linkage::new(body, &pose);
    let weights = linkage.weights(body, load, posture.load());
    let ground = ground(body, &weights);
    let moments = moments(&linkage, &weights, &[], posture.dynamic(), sides);
    Ok(Standing { pose, ground, moments })
}

/// Joint moments of any pose held still on the feet, balanced or not. The ground reaction then
/// says where the ground would have to push.
///
/// # Errors
/// [`Error::OutOfBounds`] for a load outside its bound.
pub fn held(body: &Body, pose: &Pose, load: Kg, position: LoadPosition, sides: Sides) -> Result<Standing, Error> {
    bounds::LOAD.check(load.get())?;
    let linkage = Linkage::new(body, pose);
    let weights = linkage.weights(body, load, position);
    Ok(Standing { pose: *pose, ground: ground(body, &weights), moments: moments(&linkage, &weights, &[], 1.0, sides) })
}

/// Joint moments of a body carried at two places: hands and feet, bench and feet, pad and feet.
/// Two vertical reactions follow from statics alone.
///
/// # Errors
/// [`Error::ContactsTooClose`] when the split has no meaning, [`Error::LiftsOff`] when one contact
/// would have to pull, [`Error::OutOfBounds`] for a load or contact outside its bound.
pub fn carried(
    body: &Body,
    pose: &Pose,
    load: Kg,
    position: LoadPosition,
    contacts: [Contact; 2],
    sides: Sides,
) -> Result<Carried, Error> {
    bounds::LOAD.check(load.get())?;
    let linkage = Linkage::new(body, pose);
    let weights = linkage.weights(body, load, position);
    let [first, second] = contacts;
    let (x_first, x_second) = (first.x(&linkage)?, second.x(&linkage)?);
    let span = x_second - x_first;
    if span.abs() < LEAST_SPAN {
        return Err(Error::ContactsTooClose { distance: Metre(span.abs()) });
    }
    let whole: f64 = weights.iter().map(|weight| weight.mass.get() * GRAVITY).sum();
    let on_second = whole * (centre_x(&weights) - x_first) / span;
    let on_first = whole - on_second;
    for reaction in [on_first, on_second] {
        if reaction < 0.0 {
            return Err(Error::LiftsOff { reaction: Newton(reaction) });
        }
    }
    let supports = [
        Support { link: first.link(), x: x_first, up: on_first },
        Support { link: second.link(), x: x_second, up: on_second },
    ];
    Ok(Carried {
        reactions: [Newton(on_first), Newton(on_second)],
        moments: moments(&linkage, &weights, &supports, 1.0, sides),
    })
}

/// Where a carried body touches the world.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Contact {
    /// Feet, at a horizontal distance in front of the ankle.
    Feet {
        /// Distance in front of the ankle.
        from_ankle: Metre,
    },
    /// Hands, at the grip.
    Hands,
    /// Bench or pad against the trunk, at a distance from the hip towards the shoulder.
    Trunk {
        /// Distance from the hip along the trunk.
        from_hip: Metre,
    },
}

impl Contact {
    fn link(self) -> Link {
        match self {
            Self::Feet { .. } => Link::Foot,
            Self::Hands => Link::Forearm,
            Self::Trunk { .. } => Link::UpperBody,
        }
    }

    fn x(self, linkage: &Linkage) -> Result<f64, Error> {
        match self {
            Self::Feet { from_ankle } => {
                limits::OFFSET.check(from_ankle.get())?;
                Ok(linkage.ankle.x + from_ankle.get())
            }
            Self::Hands => Ok(linkage.grip.x),
            Self::Trunk { from_hip } => {
                limits::OFFSET.check(from_hip.get())?;
                Ok(linkage.hip.x + from_hip.get() * linkage.pose().trunk().sin())
            }
        }
    }
}

/// How many limbs share the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Sides {
    /// One leg stands, the other is along for the ride.
    pub one_leg: bool,
    /// One arm works.
    pub one_arm: bool,
}

impl Sides {
    /// Both legs and both arms.
    pub const BOTH: Self = Self { one_leg: false, one_arm: false };
    /// One leg, both arms.
    pub const ONE_LEG: Self = Self { one_leg: true, one_arm: false };
}

/// A joint moment in total and per working side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Both sides together.
    pub total: NewtonMetre,
    /// One working side.
    pub per_side: NewtonMetre,
}

/// Net joint moments. The signs name the muscles that must answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointMoments {
    /// Positive: calf muscles hold.
    pub ankle: Moment,
    /// Positive: knee extensors hold.
    pub knee: Moment,
    /// Positive: hip extensors hold.
    pub hip: Moment,
    /// Positive: back muscles hold. The spine has no sides.
    pub lumbar: NewtonMetre,
    /// Positive: muscles that raise the arm forwards hold.
    pub shoulder: Moment,
    /// Positive: elbow flexors hold while the hand is in front of the elbow.
    pub elbow: Moment,
}

/// What the ground does to a body on its feet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    /// Upward push, both feet together.
    pub vertical: Newton,
    /// Where it acts, in front of the ankle.
    pub from_ankle: Metre,
    /// Where it acts, in front of mid-foot.
    pub from_mid_foot: Metre,
}

/// A pose on the feet with its ground reaction and joint moments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Pose, the shank found where it was not given.
    pub pose: Pose,
    /// Ground reaction.
    pub ground: Ground,
    /// Joint moments.
    pub moments: JointMoments,
}

/// A carried body with its two reactions and joint moments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried {
    /// Upward reactions in the order of the contacts given.
    pub reactions: [Newton; 2],
    /// Joint moments.
    pub moments: JointMoments,
}

/// Contacts nearer than this have no meaningful split, metres (practice).
const LEAST_SPAN: f64 = 0.05;

struct Support {
    link: Link,
    x: f64,
    up: f64,
}

fn ground(body: &Body, weights: &[Weight]) -> Ground {
    let mass: f64 = weights.iter().map(|weight| weight.mass.get()).sum();
    let from_ankle = Metre(centre_x(weights));
    Ground { vertical: Kg(mass).weight(), from_ankle, from_mid_foot: from_ankle - body.mid_foot() }
}

/// Cuts the chain at each joint and balances everything on the far side of the feet.
fn moments(linkage: &Linkage, weights: &[Weight], supports: &[Support], dynamic: f64, sides: Sides) -> JointMoments {
    let about = |first: Link, x: f64| {
        let down: f64 = weights
            .iter()
            .filter(|weight| weight.link >= first)
            .map(|weight| weight.mass.get() * GRAVITY * (weight.at.x - x))
            .sum();
        let up: f64 =
            supports.iter().filter(|support| support.link >= first).map(|support| support.up * (support.x - x)).sum();
        dynamic * (down - up)
    };
    let moment = |total: f64, one: bool| Moment {
        total: NewtonMetre(total),
        per_side: NewtonMetre(if one { total } else { 0.5 * total }),
    };
    JointMoments {
        ankle: moment(about(Link::Shank, linkage.ankle.x), sides.one_leg),
        knee: moment(-about(Link::Thigh, linkage.knee.x), sides.one_leg),
        hip: moment(about(Link::Pelvis, linkage.hip.x), sides.one_leg),
        lumbar: NewtonMetre(about(Link::UpperBody, linkage.lumbar.x)),
        shoulder: moment(about(Link::UpperArm, linkage.shoulder.x), sides.one_arm),
        elbow: moment(about(Link::Forearm, linkage.elbow.x), sides.one_arm),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::anthropometry::{Length, Sex};
    use crate::mechanics::lumbar::{Settings, estimate};
    use crate::mechanics::special;
    use crate::units::Degree;

    fn body() -> Body {
        Body::new(Kg(80.0), Metre(1.75), Sex::Male).unwrap()
    }

    fn deadlift() -> Posture {
        let load = LoadPosition::Hang { front: Metre(0.0) };
        Posture::new(Degree(65.0), Degree(125.0), load).unwrap()
    }

    // Source: statics; the same joints reckoned from the ground up must agree.
    #[test]
    fn from_the_ground_up_gives_the_same() {
        let lift = standing(&body(), &deadlift(), Kg(140.0), Sides::BOTH).unwrap();
        let linkage = Linkage::new(&body(), &lift.pose);
        let weights = linkage.weights(&body(), Kg(140.0), deadlift().load());
        let below = |last: Link, x: f64| {
            let down: f64 = weights
                .iter()
                .filter(|weight| weight.link <= last)
                .map(|weight| weight.mass.get() * GRAVITY * (weight.at.x - x))
                .sum();
            lift.ground.vertical.get() * (lift.ground.from_ankle.get() - x) - down
        };
        let pairs = [
            (lift.moments.ankle.total.get(), below(Link::Foot, linkage.ankle.x)),
            (-lift.moments.knee.total.get(), below(Link::Shank, linkage.knee.x)),
            (lift.moments.hip.total.get(), below(Link::Thigh, linkage.hip.x)),
            (lift.moments.lumbar.get(), below(Link::Pelvis, linkage.lumbar.x)),
        ];
        for (down, up) in pairs {
            assert!((down - up).abs() < 1e-9 * (1.0 + up.abs()), "{down} {up}");
        }
        assert!((lift.moments.knee.per_side.get() * 2.0 - lift.moments.knee.total.get()).abs() < 1e-12);
        assert!(lift.ground.from_mid_foot.get().abs() < 1e-9);
    }

    // Source: lumbar tables; the chain and the lumbar formula are the same statics.
    #[test]
    fn the_chain_agrees_with_the_lumbar_formula() {
        let lift = standing(&body(), &deadlift(), Kg(140.0), Sides::BOTH).unwrap();
        let formula = estimate(&body(), &deadlift(), Kg(140.0), &Settings::default()).unwrap();
        let (a, b) = (lift.moments.lumbar.get(), formula.moment().get());
        assert!((a / b - 1.0).abs() < 1e-9, "{a} {b}");
    }

    // Source: worked example X18 against full statics of the same pose (both derived); the worked example
    // leaves out thighs and arms, hence the five per cent.
    #[test]
    fn hip_thrust_by_full_statics_agrees_with_the_worked_example() {
        // On the back: shank upright, thigh and trunk level and away from the feet.
        let pose = Pose::new(Degree(0.0), Degree(-90.0), Degree(-90.0), Degree(0.0), Degree(0.0));
        let bench = body().share_of_height(special::BENCH_FROM_HIP);
        let contacts = [Contact::Feet { from_ankle: Metre(0.0) }, Contact::Trunk { from_hip: bench }];
        let thrust = carried(&body(), &pose.unwrap(), Kg(120.0), LoadPosition::Nothing, contacts, Sides::BOTH).unwrap();
        let worked = special::hip_thrust(&body(), Kg(120.0), &Settings::default()).unwrap();
        let moment = thrust.moments.lumbar.get();
        assert!((moment / worked.estimate.moment().get() - 1.0).abs() < 0.05, "{moment}");
        let whole: f64 = thrust.reactions.iter().map(|reaction| reaction.get()).sum();
        assert!((whole - 200.0 * GRAVITY).abs() < 1e-6);
        assert!(thrust.moments.hip.total.get() > 0.0);
    }

    // Source: worked example X17; share of body weight on the hands from the geometry of a plank.
    #[test]
    fn hands_carry_most_of_a_push_up() {
        let incline = Degree(76.0);
        let pose = Pose::new(incline, incline, incline, Degree(0.0), Degree(0.0)).unwrap();
        let contacts = [Contact::Feet { from_ankle: Metre(0.05) }, Contact::Hands];
        let plank = carried(&body(), &pose, Kg(0.0), LoadPosition::Nothing, contacts, Sides::BOTH).unwrap();
        let [_, hands] = plank.reactions;
        let share = hands.get() / body().weight().get();
        assert!((0.58..0.74).contains(&share), "{share}");
        assert!(plank.moments.lumbar.get() < 0.0, "the abdominals hold");
        assert!(plank.moments.knee.total.get() > 0.0, "the knee extensors hold");
    }

    // Source: statics; a pad under the trunk relieves the low back (U19).
    #[test]
    fn a_pad_takes_the_moment_off_the_low_back() {
        let load = LoadPosition::Hang { front: Metre(0.0) };
        let pose = Pose::new(Degree(0.0), Degree(0.0), Degree(50.0), Degree(0.0), Degree(0.0)).unwrap();
        let free = held(&body(), &pose, Kg(40.0), load, Sides::BOTH).unwrap();
        let pad = Contact::Trunk { from_hip: body().length(Length::HipToShoulder) * 0.8 };
        let contacts = [Contact::Feet { from_ankle: Metre(-0.03) }, pad];
        let padded = carried(&body(), &pose, Kg(40.0), load, contacts, Sides::BOTH).unwrap();
        assert!(padded.moments.lumbar.get() < 0.5 * free.moments.lumbar.get());
    }

    #[test]
    fn impossible_contacts_are_refused() {
        let zero = Degree(0.0);
        let pose = Pose::new(zero, zero, zero, zero, zero).unwrap();
        let feet = |x| Contact::Feet { from_ankle: Metre(x) };
        let at = |contacts| carried(&body(), &pose, Kg(0.0), LoadPosition::Nothing, contacts, Sides::BOTH);
        assert!(matches!(at([feet(0.0), feet(0.01)]), Err(Error::ContactsTooClose { .. })));
        assert!(matches!(at([feet(0.3), feet(0.6)]), Err(Error::LiftsOff { .. })));
        assert!(matches!(at([feet(f64::NAN), feet(0.6)]), Err(Error::OutOfBounds(_))));
    }
}
