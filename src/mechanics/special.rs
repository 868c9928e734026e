//! Tasks that are no plain lift: pulls, overhead, carries, push-up, hip thrust, hang.
//!
//! Leans on `lumbar` for the muscle and on `anthropometry` for the body. Leaves to others: plain
//! lifts (`lumbar::estimate`), full contact statics (`joints`), measured values (`published`).
//! The recipes are the worked examples X13-X19 of the lumbar tables (derived).

use super::anthropometry::{Body, Length};
use super::lumbar::{self, Axis, Estimate, Floor, Level, Lever, Pull, Settings, SpineClass};
use super::{Error, limits};
use crate::units::{Degree, Kg, Metre, Newton, NewtonMetre, bounds};

/// Standing row at a cable, upright: a horizontal pull at a height above L5/S1 (X13).
///
/// # Errors
/// [`Error::OutOfBounds`] for a force, height or distance outside its bound.
pub fn standing_pull(
    body: &Body,
    pull: Newton,
    above: Metre,
    arms_in_front: Metre,
    settings: &Settings,
) -> Result<Estimate, Error> {
    limits::HAND_FORCE.check(pull.get())?;
    limits::HEIGHT_OF_FORCE.check(above.get())?;
    let hand_moment = NewtonMetre(pull.get() * above.get());
    let lever = Lever { hand_moment, arms: Pull::of(body.arms(), arms_in_front.get()), ..upright(body, settings) };
    lever.estimate()
}

/// Load over the head, upright; `in_front` is where bar and arms stand before L5/S1 (X14).
///
/// # Errors
/// [`Error::OutOfBounds`] for a load or distance outside its bound.
pub fn overhead(body: &Body, load: Kg, in_front: Metre, settings: &Settings) -> Result<Estimate, Error> {
    bounds::LOAD.check(load.get())?;
    let lever = Lever {
        arms: Pull::of(body.arms(), in_front.get()),
        load: Pull::of(load, in_front.get()),
        ..upright(body, settings)
    };
    lever.estimate()
}

/// One equal weight in each hand at the sides, upright (X15). `each` is the load of one hand and
/// `dynamic` the factor for walking ([`super::posture::DYNAMIC_CARRY`]) or 1 for a hold.
///
/// # Errors
/// [`Error::OutOfBounds`] for a load or factor outside its bound.
pub fn farmer(body: &Body, each: Kg, dynamic: f64, settings: &Settings) -> Result<Estimate, Error> {
    bounds::LOAD.check(2.0 * each.get())?;
    let lever = Lever { load: Pull::of(each * 2.0, 0.0), dynamic, ..upright(body, settings) };
    lever.estimate()
}

/// A weight in one hand at the side, upright (X16). `to_the_side` is its distance from the middle,
/// left or right; the sign changes nothing but the side that works.
///
/// # Errors
/// [`Error::OutOfBounds`] for a load, distance or factor outside its bound.
pub fn suitcase(
    body: &Body,
    load: Kg,
    to_the_side: Metre,
    dynamic: f64,
    settings: &Settings,
) -> Result<Estimate, Error> {
    bounds::LOAD.check(load.get())?;
    limits::SIDE_OFFSET.check(to_the_side.get())?;
    let lever = Lever {
        load: Pull::of(load, 0.0),
        lateral_moment: NewtonMetre(load.weight().get() * to_the_side.get()),
        dynamic,
        ..upright(body, settings)
    };
    lever.estimate()
}

/// Top of a push-up or plank on the hands (X17): the abdominals keep the trunk from sagging.
/// `hands_share` is the share of body weight on the hands, [`HANDS_SHARE_PUSH_UP`] by default.
///
/// # Errors
/// [`Error::OutOfBounds`] for a share outside 0 to 1.
pub fn push_up(body: &Body, hands_share: Option<f64>, settings: &Settings) -> Result<Estimate, Error> {
    let share = limits::HANDS_SHARE.check(hands_share.unwrap_or(HANDS_SHARE_PUSH_UP))?;
    let shoulder = body.length(Length::LumbarToShoulder);
    let upper = body.upper_body();
    let lever = Lever {
        upper: Pull::of(upper.mass, upper.com.get()),
        arms: Pull::of(body.arms(), shoulder.get()),
        load: Pull { weight: body.weight() * -share, at: shoulder },
        axis: Axis::Across,
        floor: Floor::Lying,
        ..Lever::for_body(body, settings)
    };
    lever.estimate()
}

/// Hip thrust at lock-out, shoulder blades on a bench (X18).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HipThrust {
    /// Compression with its parts.
    pub estimate: Estimate,
    /// What the bench carries of the bar.
    pub bench_from_bar: Newton,
    /// What the bench carries of the trunk.
    pub bench_from_body: Newton,
}

/// Hip thrust at lock-out with a bar on the hips (X18). Thighs are taken as carried by the feet and
/// arms by the bench; `joints::carried` does it with every segment.
///
/// # Errors
/// [`Error::OutOfBounds`] for a load outside its bound.
pub fn hip_thrust(body: &Body, load: Kg, settings: &Settings) -> Result<HipThrust, Error> {
    bounds::LOAD.check(load.get())?;
    let to_bench = body.share_of_height(BENCH_FROM_HIP);
    let to_feet = body.length(Length::Thigh);
    let span = (to_bench + to_feet).get();
    let hip_to_lumbar = body.length(Length::HipToLumbar);
    let upper = body.upper_body();
    let pelvis = body.pelvis();
    let bench_from_bar = Newton(load.weight().get() * to_feet.get() / span);
    let upper_from_feet = (to_feet + hip_to_lumbar + upper.com).get();
    let body_moment = upper.mass.weight().get() * upper_from_feet + pelvis.mass.weight().get() * to_feet.get();
    let bench_from_body = Newton(body_moment / span);
    // Lying on the back, gravity arches the trunk open and the bench bends it: signs turn round.
    let lever = Lever {
        upper: Pull { weight: upper.mass.weight() * -1.0, at: upper.com },
        load: Pull { weight: bench_from_bar + bench_from_body, at: to_bench - hip_to_lumbar },
        axis: Axis::Across,
        gamma: Degree(0.0),
        floor: Floor::Lying,
        ..Lever::for_body(body, settings)
    };
    Ok(HipThrust { estimate: lever.estimate()?, bench_from_bar, bench_from_body })
}

/// A two-hand hang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hang {
    /// Gravity's part of the force on the lumbar spine; negative pulls it apart.
    pub gravity: Newton,
    /// Class. Pulling actively is no unloading (McGill 2014 pulling, seen), whatever gravity says.
    pub class: SpineClass,
}

/// A two-hand hang (X19), passive or with the back muscles pulling.
#[must_use]
pub fn hang(body: &Body, active: bool) -> Hang {
    let above = body.upper_body().mass.get() + body.arms().get();
    let below = body.mass().get() - above;
    let gravity = Kg(below).weight() * -1.0;
    Hang { gravity, class: if active { SpineClass::Low } else { SpineClass::None } }
}

/// Settings of the carries as worked: forward offset, disc L4/L5.
#[must_use]
pub fn carry_settings() -> Settings {
    Settings { level: Level::L4L5, ..Settings::upright() }
}

/// Share of body weight on the hands at the top of a push-up (memory).
pub const HANDS_SHARE_PUSH_UP: f64 = 0.66;
/// Bench edge from the hip in a hip thrust, share of stature (derived, X18).
pub const BENCH_FROM_HIP: f64 = 0.20;

/// An upright body with straight knees and arms at the sides, nothing in the hands.
fn upright(body: &Body, settings: &Settings) -> Lever {
    let x0 = settings.forward_offset.get();
    let alpha = lumbar::disc_angle(Degree(0.0), Degree(180.0), settings.level);
    Lever {
        upper: Pull::of(body.upper_body().mass, x0),
        arms: Pull::of(body.arms(), x0),
        axis: Axis::Disc(alpha),
        ..Lever::for_body(body, settings)
    }
}
