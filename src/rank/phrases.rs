//! What the terms say again and again, spelled once: a reply borrows its reasons from here.
//!
//! Leans on the words of the base's types. Leaves to others: which of it is said
//! ([`super::terms`]).

use std::borrow::Cow;
use std::sync::LazyLock;

use super::gates::spine_word;
use crate::kb::raw::{Aim, Role};

/// Phrases by number.
type Phrases = LazyLock<Vec<String>>;

/// The phrase at a place, or spelled now where there are not so many.
fn kept(phrases: &'static Phrases, at: usize, spell: impl FnOnce() -> String) -> Cow<'static, str> {
    phrases.get(at).map_or_else(|| Cow::Owned(spell()), |phrase| Cow::Borrowed(phrase.as_str()))
}

/// How much of the muscle work is kept, per cent.
pub(super) fn keeps(percent: u16) -> Cow<'static, str> {
    static SPELLED: Phrases = LazyLock::new(|| (0..=100).map(spell).collect());
    fn spell(percent: u16) -> String {
        format!("keeps {percent} % of the muscle work")
    }
    kept(&SPELLED, usize::from(percent), || spell(percent))
}

/// How far up coaches name it.
pub(super) fn choice(place: u16) -> Cow<'static, str> {
    static SPELLED: Phrases = LazyLock::new(|| (0..=60).map(spell).collect());
    fn spell(place: u16) -> String {
        format!("coaches' choice no. {place} here")
    }
    kept(&SPELLED, usize::from(place), || spell(place))
}

/// Steps of the spine class.
const STEPS: u8 = 5;

/// Spine class step before and after.
pub(super) fn spine(from: u8, to: u8) -> Cow<'static, str> {
    static SPELLED: Phrases =
        LazyLock::new(|| (0..STEPS).flat_map(|from| (0..STEPS).map(move |to| spell(from, to))).collect());
    fn spell(from: u8, to: u8) -> String {
        if to == from {
            format!("spine load stays {}", spine_word(to))
        } else {
            format!("spine load {} to {}", spine_word(from), spine_word(to))
        }
    }
    if from.max(to) >= STEPS {
        return Cow::Owned(spell(from, to));
    }
    kept(&SPELLED, usize::from(from * STEPS + to), || spell(from, to))
}

/// A role for an aim.
pub(super) fn aim(role: Role, aim: Aim) -> Cow<'static, str> {
    static SPELLED: Phrases =
        LazyLock::new(|| Role::ALL.iter().flat_map(|role| Aim::ALL.iter().map(|aim| spell(*role, *aim))).collect());
    fn spell(role: Role, aim: Aim) -> String {
        format!("{} work for {aim}", role.word())
    }
    let place = |role: Role, aim: Aim| {
        let role = Role::ALL.iter().position(|r| *r == role)?;
        Some(role * Aim::ALL.len() + Aim::ALL.iter().position(|a| *a == aim)?)
    };
    kept(&SPELLED, place(role, aim).unwrap_or(usize::MAX), || spell(role, aim))
}

/// Skill asked, and whether it is a variation of the same lift.
pub(super) fn skill(skill: u8, kin: bool) -> Cow<'static, str> {
    static SPELLED: Phrases =
        LazyLock::new(|| (0..=5).flat_map(|skill| [spell(skill, false), spell(skill, true)]).collect());
    fn spell(skill: u8, kin: bool) -> String {
        let kin = if kin { ", a variation of the same lift" } else { "" };
        format!("skill {skill} of 5{kin}")
    }
    kept(&SPELLED, usize::from(skill) * 2 + usize::from(kin), || spell(skill, kin))
}
