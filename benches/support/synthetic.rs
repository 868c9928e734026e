//! A base of any size for measurements: seeded, compiled by the code that compiles the shipped one.
//!
//! Leans on the shipped base as the pattern to follow. The first rows are its own exercises, in
//! an order drawn from the seed; what goes beyond them are variations of drawn exercises, with a
//! weight, a grade, skill, how usual, the least repetitions and the typical load moved by a step,
//! so that every column keeps the spread that it has in the shipped base. Leaves to others:
//! asking it.

use stead::ask::Engine;
use stead::kb::files::Files;
use stead::kb::raw::Exercise;
use stead::kb::{Kb, compile, draft};

/// A compiled base of `rows` exercises.
pub fn base(rows: usize, seed: u64) -> Kb {
    let layers = [Files(Engine::shipped_files().0)];
    let mut draft = draft::read(&layers).0;
    let mut random = fastrand::Rng::with_seed(seed);
    random.shuffle(&mut draft.exercises);
    let shipped = draft.exercises.len();
    for n in shipped..rows {
        let mut placed = draft.exercises[random.usize(..shipped)].clone();
        vary(&mut placed.value, n, &mut random);
        draft.exercises.push(placed);
    }
    draft.exercises.truncate(rows);
    Kb::from(compile::compile(&draft, &layers).expect("the generator makes no broken records"))
}

/// Makes a variation of an exercise: another id, a step here and there.
fn vary(e: &mut Exercise, n: usize, random: &mut fastrand::Rng) {
    let step = |random: &mut fastrand::Rng, value: u8, least: u8, most: u8| {
        (i16::from(value) + random.i16(-1..=1)).clamp(i16::from(least), i16::from(most)) as u8
    };
    // A variation of a variation stays a child of the first.
    e.parent.get_or_insert_with(|| e.id.clone());
    e.id = format!("{}-{n}", e.id);
    e.name = format!("{} no. {n}", e.name);
    e.aliases.clear();
    // Only the shipped ones are offered as light work: the list of it does not grow with the base.
    e.helps.clear();
    (e.easier, e.harder) = (Vec::new(), Vec::new());
    for weight in e.muscles.values_mut().filter(|w| **w < 1.0) {
        *weight = (*weight + f64::from(random.i8(-1..=1)) * 0.05).clamp(0.1, 0.95);
    }
    for grade in e.joints.values_mut().flat_map(|by| by.values_mut()) {
        if random.u8(..3) == 0 {
            *grade = step(random, *grade, 1, 4);
        }
    }
    e.skill = step(random, e.skill, 1, 5);
    e.usual = step(random, e.usual, 1, 5);
    e.reps.low = (e.reps.low + random.u16(0..=2)).min(e.reps.high);
    e.typical_load.share *= 0.9 + 0.2 * random.f64();
}
