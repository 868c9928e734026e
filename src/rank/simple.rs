//! The gates asked of one row at a time and the rows put in order by a whole sort, as a reader would
//! write it: what the scan of whole columns must come to as well.
//!
//! Leans on the same caps and terms. Leaves to others: answering ([`super`]). Tests only.

use std::path::Path;
use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::sample::{select, subsequence};

use super::gates::{Context, GATES, KIT, LIGHT, joint_grade};
use super::terms::{Choices, Scorer, coverage, wanted};
use super::{Question, SORTED_FIRST, Seen, Sore, first_sorted, order, thin};
use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::check::is_training;
use crate::kb::files::Files;
use crate::kb::raw::{Aim, Gym, Level, Stock};

static BASE: LazyLock<Kb> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("kb");
    Kb::build(&[Files::read(&folder).unwrap()]).unwrap()
});

/// By how many steps a row misses each gate, 2 for more than one.
fn misses(c: &Context<'_>, row: usize) -> [u8; GATES.len()] {
    let (kb, q) = (c.kb, c.question);
    let r = &kb.table.rows[row];
    let original = &kb.table.rows[q.original];
    let steps = |over: u8| over.min(2);
    let kit = q.inventory.is_high_enough(r)
        && (q.inventory.has_kit_for(kb, row) || q.inventory.improvise && q.inventory.makeshift(kb, row).is_some());
    let sore = c.sore_caps.iter().map(|cap| {
        let grade = joint_grade(kb, &cap.sore, row);
        let region = kb.table.grades_of(row)[cap.sore.region];
        let over = grade.saturating_sub(cap.joint);
        let over = over.max(cap.whole.map_or(0, |most| region.saturating_sub(most)));
        let over = over.max(cap.spine.map_or(0, |most| r.spine.saturating_sub(most)));
        let no_relief = over == 1 && cap.sore.level > Level::Mild && grade >= cap.original && grade > LIGHT;
        if no_relief { 2 } else { steps(over) }
    });
    [
        if row == q.original { 2 } else { 0 },
        if kit { 0 } else { 2 },
        sore.max().unwrap_or(0),
        q.max_spine.map_or(0, |most| steps(r.spine.saturating_sub(most))),
        if is_training(r.role) != is_training(original.role) {
            2
        } else if c.choices.early()[row] == 1 {
            0
        } else {
            purpose(c, row)
        },
        steps(r.skill.saturating_sub(c.most_skill)),
        if q.skip.contains(&row) { 2 } else { 0 },
    ]
}

fn purpose(c: &Context<'_>, row: usize) -> u8 {
    let (mine, pattern) = (c.kb.table.muscles_of(row), |row: usize| c.kb.table.rows[row].pattern);
    let movers = if pattern(row) == pattern(c.question.original) { c.primes | c.strong } else { c.primes };
    if c.kb.table.rows[row].keeps & movers == 0 {
        return 2;
    }
    let least = (c.kb.ranking.least_coverage * 1000.0) as u16;
    let plain = |(a, b): (&u8, &u8)| if *a >= 50 { u32::from(*a.min(b)) } else { 0 };
    let kept: u32 = c.wanted.iter().zip(mine).map(plain).sum();
    let have = coverage(c.wanted, mine).max((kept * 1000 / c.wanted_total) as u16);
    if have >= least { 0 } else { 2 - u8::from(have + 100 >= least) }
}

#[derive(Debug, Clone)]
struct Asked {
    original: usize,
    sore: Vec<Sore>,
    inventory: Inventory,
    aim: Aim,
    max_spine: Option<u8>,
    skill: Option<u8>,
    skip: Vec<usize>,
}

impl Asked {
    fn question(&self) -> Question<'_> {
        Question {
            original: self.original,
            sore: &self.sore,
            inventory: &self.inventory,
            aim: self.aim,
            max_spine: self.max_spine,
            skill: self.skill,
            skip: &self.skip,
            top: 10,
            explain: false,
        }
    }
}

fn sore() -> impl Strategy<Value = Sore> {
    (0..BASE.regions.len(), any::<bool>(), any::<prop::sample::Index>(), select(Level::ALL)).prop_map(
        |(region, named, at, level)| {
            let start = usize::from(BASE.aggravator_start[region]);
            let count = BASE.regions[region].aggravators.len();
            let aggravator = (named && count > 0).then(|| start + at.index(count.max(1)));
            Sore { region, aggravator, level }
        },
    )
}

fn inventory() -> impl Strategy<Value = Inventory> {
    let items: Vec<String> = BASE.equipment.iter().map(|q| q.id.clone()).collect();
    let count = items.len();
    let stock = (prop::option::of(4.0..60.0), prop::option::of(10.0..200.0));
    let ceiling = prop::option::of(2.0..3.0);
    (subsequence(items, 0..=count), stock, ceiling, any::<bool>()).prop_map(|(items, stock, ceiling_m, improvise)| {
        let (dumbbell_max_kg, plates_total_kg) = stock;
        let stock = Stock { dumbbell_max_kg, plates_total_kg, ..Stock::default() };
        let gym = Gym { id: "shed".to_string(), name: "A shed".to_string(), items, stock, ceiling_m, ..Gym::default() };
        Inventory::of(&BASE, &gym).unwrap().improvising(improvise)
    })
}

fn asked() -> impl Strategy<Value = Asked> {
    let n = BASE.len();
    let limits = (prop::option::of(0u8..=4), prop::option::of(1u8..=5), prop::collection::vec(0..n, 0..4));
    (0..n, prop::collection::vec(sore(), 0..3), inventory(), select(Aim::ALL), limits).prop_map(
        |(original, sore, inventory, aim, (max_spine, skill, skip))| Asked {
            original,
            sore,
            inventory,
            aim,
            max_spine,
            skill,
            skip,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The scan of columns finds for every row what one row at a time finds: which gates it misses,
    /// how many rows each gate is the first to refuse, which rows are told of, and the order.
    #[test]
    fn the_scan_says_what_each_row_says(asked in asked()) {
        let (kb, question) = (&*BASE, asked.question());
        let wanted = wanted(kb, &question);
        let floor = question.inventory.floor(kb);
        let choices = Choices::new(kb, &question, |row| floor.does(row));
        let context = Context::new(kb, &question, floor, &choices, &wanted);
        let mut counts = [0usize; GATES.len()];
        let (mut passed, mut nearly) = (Vec::new(), Vec::new());
        for row in 0..kb.len() {
            let missed = misses(&context, row);
            let gates: Vec<usize> = (0..GATES.len()).filter(|gate| missed[*gate] > 0).collect();
            match gates.as_slice() {
                [] => passed.push(row),
                [first, rest @ ..] => {
                    counts[*first] += 1;
                    // Worth telling of: it would pass but for this gate, and either that is one step
                    // or it keeps some of the muscle work.
                    let movers = kb.table.muscles_of(question.original).iter().enumerate();
                    let keeps = movers.filter(|(_, w)| **w >= super::gates::STRONG).any(|(m, _)| kb.table.rows[row].keeps >> m & 1 == 1);
                    let kept = if keeps { coverage(&wanted, kb.table.muscles_of(row)) } else { 0 };
                    let step = missed[*first] == 1;
                    if rest.is_empty() && (kept > 0 || step) {
                        nearly.push((row, *first, step, kept));
                    }
                }
            }
        }
        prop_assert_eq!(context.first_refusals(), counts);
        let found: Vec<usize> = context.nearly.iter().filter(|n| n.gate().is_none()).map(|n| n.row).collect();
        prop_assert_eq!(&found, &passed);
        let told = |n: &super::gates::Nearly| Some((n.row, n.gate()?, n.by_one_step, n.kept));
        let found: Vec<_> = context.nearly.iter().filter_map(told).collect();
        prop_assert_eq!(found, nearly);
        prop_assert!(passed.iter().all(|row| floor.does(*row)));
        prop_assert_eq!(GATES[KIT].id, "kit");

        // A whole sort by points, then by id.
        let scorer = Scorer::new(kb, &context, &question, &choices).unwrap();
        let mut sorted: Vec<(usize, u32)> = passed.iter().map(|row| (*row, scorer.points(*row))).collect();
        sorted.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| kb.ids[a.0].cmp(&kb.ids[b.0])));
        sorted.truncate(question.top);
        prop_assert_eq!(order(kb, &question), sorted);

        // Thinning the best few comes to what thinning all does, where it comes to anything.
        let mut seen: Vec<Seen> = passed.iter().map(|row| Seen::new(kb, *row, scorer.points(*row))).collect();
        for first in [1, 4, 8, SORTED_FIRST, 60] {
            let head = first_sorted(&mut seen, first);
            let few = thin(kb, &seen[..head], head == seen.len(), &question);
            let mut all = seen.clone();
            all.sort_unstable();
            let whole = thin(kb, &all, true, &question);
            prop_assert!(few.is_none() || few == whole, "of the first {}", first);
        }
    }
}
