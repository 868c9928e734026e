//! Facts of the trade that the base and the answers must agree with.
//!
//! Basis of every one: common practice, what coaching textbooks and everyday gym speech agree
//! on; none is a measured figure. Each names what it says and is checked in the base or by
//! asking. Leaves to others: the fine order of answers (`tests/all/judged.rs`).

use std::sync::LazyLock;

use stead::ask::{Engine, swap};
use stead::kb::raw::{Aim, Exercise, Gym, Level, LoadPosition, Role, SpineClass, Stock, Support};

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().unwrap());

/// A well-kept garage: bars of several kinds, a belt, a cable, dumbbells, bars to hang from.
const GARAGE: &[&str] = &[
    "barbell",
    "plates",
    "rack",
    "adjustable-bench",
    "pull-up-bar",
    "dip-bars",
    "loading-belt",
    "trap-bar",
    "safety-squat-bar",
    "ez-bar",
    "multi-grip-bar",
    "dumbbells",
    "kettlebells",
    "cable",
    "ghd",
    "bands",
    "suspension-straps",
    "landmine",
];

fn record(id: &str) -> &'static Exercise {
    let kb = ENGINE.kb();
    let row = kb.row_of(id).unwrap_or_else(|| panic!("the base has no {id}"));
    kb.exercise(row).unwrap()
}

fn all() -> impl Iterator<Item = &'static Exercise> {
    (0..ENGINE.kb().len()).filter_map(|row| ENGINE.kb().exercise(row))
}

/// Grade of a region: the greatest of its aggravators.
fn grade(id: &str, region: &str) -> u8 {
    record(id).joints.get(region).and_then(|by| by.values().max()).copied().unwrap_or(0)
}

/// Grade of one aggravator.
fn provokes(id: &str, region: &str, aggravator: &str) -> u8 {
    record(id).joints.get(region).and_then(|by| by.get(aggravator)).copied().unwrap_or(0)
}

/// The class that counts: set by hand or computed.
fn class_of(e: &Exercise) -> SpineClass {
    let kb = ENGINE.kb();
    kb.spine_class(kb.row_of(&e.id).unwrap())
}

fn spine(id: &str) -> SpineClass {
    class_of(record(id))
}

fn sore(region: &str, aggravator: Option<&str>) -> swap::SoreAsk {
    swap::SoreAsk {
        region: region.to_string(),
        aggravator: aggravator.map(str::to_string),
        level: Some(Level::Moderate),
        pain: None,
    }
}

/// The first answers in the garage, best first.
fn answers(exercise: &str, sore: swap::SoreAsk, top: usize) -> Vec<&'static Exercise> {
    let gym = Gym {
        id: "garage".to_string(),
        name: "A garage".to_string(),
        items: GARAGE.iter().map(|i| i.to_string()).collect(),
        stock: Stock::default(),
        ceiling_m: None,
        ..Gym::default()
    };
    let request = swap::Request {
        exercise: exercise.to_string(),
        sore: vec![sore],
        gym: Some(swap::GymAsk::Own(Box::new(gym))),
        aim: Some(Aim::Size),
        top: Some(top),
        ..swap::Request::default()
    };
    swap::answer(&ENGINE, &request).unwrap().substitutes.iter().map(|s| record(s.id)).collect()
}

fn ids(found: &[&Exercise]) -> String {
    found.iter().map(|e| e.id.as_str()).collect::<Vec<_>>().join(", ")
}

fn needs(e: &Exercise, item: &str) -> bool {
    e.equipment.iter().all(|alternative| alternative.iter().any(|i| i == item))
}

/// A bar held behind the neck asks for a shoulder turned out; a padded bar with handles in front,
/// or a belt, does not.
#[test]
fn back_squat_with_a_sore_shoulder_offers_safety_bar_and_belt() {
    let found = answers("back-squat-high-bar", sore("shoulder", Some("abduction_external_rotation")), 10);
    assert!(found.iter().any(|e| needs(e, "safety-squat-bar")), "no safety bar in {}", ids(&found));
    assert!(found.iter().any(|e| e.load_position == LoadPosition::WaistBelt), "no belt in {}", ids(&found));
}

/// With the shoulder sore in general, no bar goes across the back in the hands' reach behind it.
#[test]
fn a_sore_shoulder_is_never_answered_with_a_low_bar() {
    let found = answers("back-squat-high-bar", sore("shoulder", None), 10);
    assert!(found.iter().all(|e| !e.id.contains("low-bar")), "{}", ids(&found));
}

/// A row with the trunk held by a pad, the hand or straps spares the low back.
#[test]
fn bent_over_row_with_a_sore_back_offers_supported_rows_first() {
    let found = answers("barbell-row-bent-over", sore("low-back", None), 5);
    let first = found.first().expect("an answer");
    assert!(first.support != Support::Standing && class_of(first) <= SpineClass::Low, "{}", ids(&found));
    let chest = found.iter().take(3).filter(|e| e.support == Support::ChestSupported).count();
    assert!(chest >= 1, "no chest support among the first three of {}", ids(&found));
    assert!(found.iter().all(|e| e.support != Support::Standing), "{}", ids(&found));
}

/// A sore low back is not answered with another heavy hinge.
#[test]
fn deadlift_with_a_sore_back_offers_no_heavy_hinge() {
    let found = answers("deadlift-conventional", sore("low-back", None), 10);
    assert!(!found.is_empty() && found.iter().all(|e| class_of(e) <= SpineClass::Moderate), "{}", ids(&found));
    assert!(found.iter().all(|e| !e.id.starts_with("good-morning-barbell")), "{}", ids(&found));
}

/// Palms facing each other keep the wrist straight under a press.
#[test]
fn bench_press_with_a_sore_wrist_prefers_neutral_hands() {
    let found = answers("bench-press", sore("wrist", None), 5);
    let straight = |e: &&&Exercise| grade(&e.id, "wrist") < grade("bench-press", "wrist");
    assert_eq!(found.iter().filter(straight).count(), found.len(), "{}", ids(&found));
    let words = ["neutral", "multi-grip", "handles", "ez-bar", "trap-bar", "fist", "racked-bar"];
    let handles = found.iter().take(3).filter(|e| words.iter().any(|w| e.id.contains(w))).count();
    assert!(handles >= 1, "no neutral handle among the first three of {}", ids(&found));
}

/// An angled bar or a hammer grip eases the wrist in a curl.
#[test]
fn curl_with_a_sore_wrist_prefers_angled_or_hammer_grip() {
    let found = answers("curl-barbell", sore("wrist", None), 5);
    let words = ["hammer", "ez-bar", "neutral", "multi-grip", "rope"];
    assert!(found.iter().take(3).any(|e| words.iter().any(|w| e.id.contains(w))), "{}", ids(&found));
}

/// A knee sore when bent deep is answered with hip work or a shorter bend.
#[test]
fn back_squat_with_a_knee_sore_deep_down_bends_it_less() {
    let found = answers("back-squat-high-bar", sore("knee", Some("deep_flexion")), 10);
    let before = provokes("back-squat-high-bar", "knee", "deep_flexion");
    assert!(
        !found.is_empty() && found.iter().all(|e| provokes(&e.id, "knee", "deep_flexion") < before),
        "{}",
        ids(&found)
    );
}

/// Lying on a bench or leaning on a pad, the load does not pass down the spine.
#[test]
fn bench_and_machine_work_is_not_axial() {
    for id in [
        "bench-press",
        "dumbbell-bench-press-neutral",
        "leg-press",
        "leg-extension",
        "leg-curl-lying",
        "machine-row-chest-supported",
    ] {
        assert!(spine(id) <= SpineClass::Low, "{id}: {}", spine(id));
    }
    // The trunk itself does the work, or pads press on the shoulders.
    let apart = ["crunch-machine", "reverse-hyper-machine", "hack-squat-reverse"];
    let carried = [Support::ChestSupported, Support::LyingProne, Support::SeatedBackSupported];
    let pushed = [LoadPosition::MachineArm, LoadPosition::Feet];
    let wrong: Vec<_> = all()
        .filter(|e| {
            e.support == Support::ChestSupported || (carried.contains(&e.support) && pushed.contains(&e.load_position))
        })
        .filter(|e| class_of(e) > SpineClass::Low && !apart.contains(&e.id.as_str()))
        .map(|e| format!("{} {}", e.id, class_of(e)))
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// Weight on a belt hangs from the hips: it does not press on the spine, and in a hang it pulls
/// it long. Jumps are left out: it is the landing that loads there.
#[test]
fn weight_on_a_belt_is_not_axial() {
    let belts: Vec<_> = all().filter(|e| e.load_position == LoadPosition::WaistBelt && e.role != Role::Power).collect();
    assert!(belts.len() >= 5);
    let wrong: Vec<_> = belts.iter().filter(|e| class_of(e) > SpineClass::Low).map(|e| &e.id).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
    for id in ["belt-squat-machine", "dip-weighted", "pull-up-weighted"] {
        assert_eq!(record(id).load_position, LoadPosition::WaistBelt, "{id}");
    }
}

/// On fists or handles the wrist stays straight; on the flat hand it is bent back under load.
#[test]
fn push_ups_on_fists_or_handles_are_kinder_to_the_wrist() {
    for id in ["push-up-fist", "push-up-neutral-handles", "push-up-racked-bar", "push-up-suspension"] {
        assert!(grade(id, "wrist") < grade("push-up", "wrist"), "{id}");
        assert_eq!(provokes(id, "wrist", "loaded_extension"), 0, "{id}");
    }
}

/// Standing inside the load, with the handles up, the trunk leans less than over a straight bar.
#[test]
fn a_high_handled_trap_bar_loads_the_spine_no_more_than_a_straight_bar() {
    assert!(spine("trap-bar-deadlift-high-handle") <= spine("deadlift-conventional"));
    assert!(spine("trap-bar-deadlift-high-handle") <= spine("trap-bar-deadlift-low-handle"));
    assert!(
        provokes("trap-bar-deadlift-high-handle", "low-back", "shear")
            <= provokes("deadlift-conventional", "low-back", "shear")
    );
}

/// A lighter load in front keeps the trunk upright.
#[test]
fn a_goblet_squat_loads_the_spine_less_than_a_bar_on_the_back() {
    assert!(spine("goblet-squat") < spine("back-squat-high-bar"));
    assert!(spine("front-squat-clean-grip") <= spine("back-squat-low-bar"));
    assert!(spine("belt-squat-machine") < spine("goblet-squat"));
}

/// The safety bar frees shoulder, elbow and wrist of the work of holding a bar behind the neck.
#[test]
fn a_safety_bar_frees_the_arms() {
    for region in ["shoulder", "elbow"] {
        assert!(grade("safety-bar-squat", region) < grade("back-squat-low-bar", region), "{region}");
    }
    assert!(
        provokes("safety-bar-squat", "wrist", "loaded_extension")
            < provokes("back-squat-low-bar", "wrist", "loaded_extension")
    );
}

/// A front rack with bent-back wrists is the hardest way to hold a front squat; crossed arms and
/// straps are the usual ways round it.
#[test]
fn crossed_arms_and_straps_ease_the_wrist_of_a_front_squat() {
    for id in ["front-squat-cross-arm", "front-squat-strap-grip"] {
        assert!(grade(id, "wrist") < grade("front-squat-clean-grip", "wrist"), "{id}");
    }
}

/// A press behind the neck is harder on the shoulder than one in front.
#[test]
fn pressing_behind_the_neck_is_harder_on_the_shoulder() {
    assert!(grade("overhead-press-behind-neck", "shoulder") > grade("overhead-press-barbell", "shoulder"));
    assert!(grade("lat-pulldown-behind-neck", "shoulder") > grade("lat-pulldown-neutral", "shoulder"));
}

/// On the floor the elbow cannot drop behind the body, as it does in a bench press or a dip.
#[test]
fn a_floor_press_spares_the_shoulder_at_the_bottom() {
    let end_range = |id| provokes(id, "shoulder", "extension_end_range");
    assert!(end_range("floor-press-trap-bar") < end_range("bench-press"));
    assert!(end_range("dip") >= end_range("bench-press"));
    let found = answers("bench-press", sore("shoulder", Some("extension_end_range")), 10);
    assert!(found.iter().any(|e| e.id.contains("floor-press")), "no floor press in {}", ids(&found));
    assert!(found.iter().all(|e| end_range(&e.id) < end_range("bench-press")), "{}", ids(&found));
}

/// Palms facing each other are the easiest overhead pull on the shoulder, a wide grip the hardest.
#[test]
fn a_neutral_grip_eases_the_shoulder_of_a_pull_up() {
    assert!(grade("pull-up-neutral-grip", "shoulder") < grade("pull-up-wide-grip", "shoulder"));
    assert!(grade("pull-up-neutral-grip", "shoulder") <= grade("pull-up", "shoulder"));
}

/// Standing on a plate lengthens the pull and bends the trunk further.
#[test]
fn a_deficit_is_never_kinder_to_the_back_and_blocks_never_harder() {
    let flexion = |id| provokes(id, "low-back", "flexion");
    assert!(spine("deficit-deadlift") >= spine("deadlift-conventional"));
    assert!(flexion("deficit-deadlift") >= flexion("deadlift-conventional"));
    assert!(flexion("rack-pull") <= flexion("deadlift-conventional"));
}

/// A heavy pull from the floor takes the whole body and long rest; no exercise without load does.
#[test]
fn no_unloaded_exercise_loads_the_spine_heavily() {
    let free = |e: &&'static Exercise| e.equipment.iter().any(|alt| alt.iter().all(|i| i == "floor" || i == "wall"));
    let wrong: Vec<_> = all()
        .filter(free)
        .filter(|e| e.load_position == LoadPosition::Bodyweight && e.support == Support::Standing)
        .filter(|e| class_of(e) > SpineClass::Moderate)
        .map(|e| &e.id)
        .collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}
