//! A week: rows of day, exercise, sets and work, in order of day.
//!
//! Leans on [`crate::units`] and on the unit words of the base. Leaves to others: reading and
//! writing it (`ask::week`), and every judgement.

use crate::kb::raw::MassUnit;
use crate::units::Kg;

/// A day of the week, Monday first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(u8);

/// Days of a week.
pub const DAYS: u8 = 7;

impl Day {
    /// Every day, Monday first.
    pub const ALL: [Self; DAYS as usize] = [Self(1), Self(2), Self(3), Self(4), Self(5), Self(6), Self(7)];

    /// The day of a number, 1 Monday to 7 Sunday.
    #[must_use]
    pub const fn new(number: u8) -> Option<Self> {
        if number >= 1 && number <= DAYS { Some(Self(number)) } else { None }
    }

    /// Its number, 1 Monday to 7 Sunday.
    #[must_use]
    pub const fn number(self) -> u8 {
        self.0
    }

    /// Its English name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self.0 {
            1 => "Monday",
            2 => "Tuesday",
            3 => "Wednesday",
            4 => "Thursday",
            5 => "Friday",
            6 => "Saturday",
            _ => "Sunday",
        }
    }

    /// The first three letters of its name.
    #[must_use]
    pub fn short(self) -> &'static str {
        self.name().get(..3).unwrap_or_default()
    }

    /// The day after; Monday after Sunday, since weeks are taken to repeat.
    #[must_use]
    pub const fn next(self) -> Self {
        Self(self.0 % DAYS + 1)
    }

    /// Days from this one on to `other`, 1 to 7: the same day is a week away.
    #[must_use]
    pub const fn days_to(self, other: Self) -> u8 {
        (other.0 + DAYS - 1 - self.0) % DAYS + 1
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

/// What the work of a set is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WorkUnit {
    /// Repetitions.
    Repetitions,
    /// Seconds.
    Seconds,
    /// Metres.
    Metres,
}

/// The work of one set: so much, or from so much to so much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Work {
    /// What it is counted in.
    pub unit: WorkUnit,
    /// Least.
    pub low: u16,
    /// Most, the same where no range is given. The dose and the kilograms are taken from it.
    pub high: u16,
}

/// One row of a week.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Day.
    pub day: Day,
    /// Row of the exercise in the base.
    pub exercise: usize,
    /// Sets.
    pub sets: u16,
    /// Work of each set.
    pub work: Work,
    /// Load as the exercise counts it: each hand, bar with plates, what is added to the body. None
    /// where the row says none.
    pub load: Option<Kg>,
    /// Unit that the load was written in.
    pub unit: MassUnit,
    /// Repetitions left in reserve.
    pub reserve: Option<f64>,
    /// Weeks that the row has been in the programme.
    pub weeks_on: Option<u16>,
    /// Weeks without progress in it.
    pub weeks_flat: Option<u16>,
    /// A person's own words.
    pub note: String,
    /// Line of the file, or place in the list from 1.
    pub line: usize,
}

/// A week of training.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Week {
    rows: Vec<Row>,
    /// Weeks since the last lighter one, where the week says so.
    pub since_deload: Option<u16>,
}

impl Week {
    /// A week of rows; they are put in order of day and keep their order within a day.
    #[must_use]
    pub fn new(mut rows: Vec<Row>, since_deload: Option<u16>) -> Self {
        rows.sort_by_key(|row| row.day);
        Self { rows, since_deload }
    }

    /// Rows in order of day.
    #[must_use]
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// Days with training, each with its rows in their order.
    pub fn days(&self) -> impl Iterator<Item = (Day, &[Row])> {
        self.rows.chunk_by(|a, b| a.day == b.day).filter_map(|rows| Some((rows.first()?.day, rows)))
    }

    /// Whether there is no row.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_follow_one_another_round_the_week() {
        assert!(Day::new(0).is_none() && Day::new(8).is_none());
        let (monday, sunday) = (Day::ALL[0], Day::ALL[6]);
        assert_eq!((sunday.next(), monday.short()), (monday, "Mon"));
        assert_eq!((monday.days_to(sunday), sunday.days_to(monday), monday.days_to(monday)), (6, 1, 7));
        for (number, day) in (1u8..).zip(Day::ALL) {
            assert_eq!((day.number(), Day::new(number)), (number, Some(day)));
        }
    }
}
