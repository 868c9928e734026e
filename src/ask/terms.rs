//! "Which words may I use?": the taxonomies, the gates and the terms of the score.
//!
//! Leans on the compiled base. Leaves to others: exercises ([`super::list`]).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Basis, Engine, Error, unknown};

/// Which taxonomy; all when absent.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// One of the kinds in [`KINDS`].
    pub kind: Option<String>,
}

/// Kinds of words.
pub const KINDS: &[&str] = &[
    "patterns",
    "muscles",
    "regions",
    "equipment",
    "things",
    "gyms",
    "spine",
    "aims",
    "levels",
    "roles",
    "signs",
    "gates",
    "score",
    "sources",
];

/// One word.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Word<'k> {
    /// As used in questions.
    pub id: &'k str,
    /// Name or meaning.
    pub means: &'k str,
    /// Plain name, where the meaning is another text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<&'k str>,
    /// What to do, for a warning sign.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub action: Option<&'k str>,
    /// Word above it in a tree.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub parent: Option<&'k str>,
    /// Other spellings.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub aliases: Vec<&'k str>,
    /// Words that go with it: aggravators of a region, items of a gym, kit that a thing is.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Part<'k>>,
}

/// A word that belongs to another.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Part<'k> {
    /// As used in questions.
    pub id: &'k str,
    /// Meaning.
    pub means: &'k str,
}

/// Words of one kind.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Group<'k> {
    /// Kind.
    pub kind: &'static str,
    /// Words.
    pub words: Vec<Word<'k>>,
}

/// The words.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// Groups.
    pub groups: Vec<Group<'k>>,
}

/// Answers.
///
/// # Errors
/// [`Error::Unknown`] for a kind that is none of [`KINDS`].
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let wanted = match request.kind.as_deref() {
        None => KINDS.to_vec(),
        Some(kind) => match KINDS.iter().find(|k| **k == kind) {
            Some(kind) => vec![*kind],
            None => return Err(unknown("kind of words", kind, "/kind", KINDS.iter().copied())),
        },
    };
    let groups = wanted.into_iter().map(|kind| Group { kind, words: words(engine, kind) }).collect();
    Ok(Reply { base: Basis::of(engine.kb()), groups })
}

fn plain<'k>(id: &'k str, means: &'k str) -> Word<'k> {
    Word { id, means, name: None, action: None, parent: None, aliases: Vec::new(), parts: Vec::new() }
}

fn words<'k>(engine: &'k Engine, kind: &str) -> Vec<Word<'k>> {
    use crate::kb::raw::{Aim, Level, Muscle, Role, Sign, SpineClass};
    let kb = engine.kb();
    let texts = |list: &'k [String]| list.iter().map(String::as_str).collect::<Vec<_>>();
    match kind {
        "patterns" => kb
            .patterns
            .iter()
            .map(|p| Word {
                name: Some(&p.name),
                parent: p.parent.as_deref(),
                aliases: texts(&p.aliases),
                ..plain(&p.id, &p.definition)
            })
            .collect(),
        "muscles" => {
            let word =
                |m: &'k Muscle| Word { name: Some(&m.name), aliases: texts(&m.aliases), ..plain(&m.id, &m.anatomical) };
            kb.muscles.iter().map(word).collect()
        }
        "regions" => kb
            .regions
            .iter()
            .map(|r| Word {
                aliases: texts(&r.aliases),
                parts: r.aggravators.iter().map(|a| Part { id: &a.id, means: &a.question }).collect(),
                ..plain(&r.id, &r.name)
            })
            .collect(),
        "equipment" => {
            kb.equipment.iter().map(|q| Word { aliases: texts(&q.aliases), ..plain(&q.id, &q.name) }).collect()
        }
        "things" => kb
            .catalogue
            .items
            .iter()
            .map(|(id, sold)| Word {
                parts: sold
                    .gives
                    .iter()
                    .filter_map(|i| kb.equipment.iter().find(|q| q.id == *i))
                    .map(|q| Part { id: &q.id, means: &q.name })
                    .collect(),
                ..plain(id, &sold.name)
            })
            .collect(),
        "gyms" => kb
            .gyms
            .iter()
            .map(|g| Word {
                parts: g
                    .items
                    .iter()
                    .filter_map(|i| kb.equipment.iter().find(|q| q.id == *i))
                    .map(|q| Part { id: &q.id, means: &q.name })
                    .collect(),
                ..plain(&g.id, &g.name)
            })
            .collect(),
        "spine" => SpineClass::ALL.iter().map(|c| plain(c.word(), spine_means(*c))).collect(),
        "aims" => Aim::ALL.iter().map(|a| plain(a.word(), aim_means(*a))).collect(),
        "levels" => Level::ALL.iter().map(|l| plain(l.word(), level_means(*l))).collect(),
        "roles" => Role::ALL.iter().map(|r| plain(r.word(), role_means(*r))).collect(),
        "signs" => {
            let action = |s: &Sign| kb.cautions.actions.get(&s.urgency).map(String::as_str);
            let word =
                |s: &'k Sign| Word { parent: Some(s.urgency.word()), action: action(s), ..plain(&s.id, &s.text) };
            kb.cautions.signs.iter().map(word).collect()
        }
        "gates" => crate::rank::gates::GATES.iter().map(|g| plain(g.id, g.asks)).collect(),
        "score" => crate::rank::terms::TERMS.iter().map(|t| plain(t.id, t.means)).collect(),
        _ => kb.sources.iter().map(|s| plain(&s.id, &s.title)).collect(),
    }
}

const fn spine_means(class: crate::kb::raw::SpineClass) -> &'static str {
    use crate::kb::raw::SpineClass as S;
    match class {
        S::None => "lying, supported, hanging or standing unloaded: under 0.9 body weights of lumbar compression",
        S::Low => "0.9 to 2.5 body weights",
        S::Moderate => "2.5 to 4.3 body weights",
        S::High => "4.3 to 8.2 body weights",
        S::VeryHigh => "above 8.2 body weights",
    }
}

const fn aim_means(aim: crate::kb::raw::Aim) -> &'static str {
    use crate::kb::raw::Aim as A;
    match aim {
        A::Size => "bigger muscles",
        A::Strength => "heavier lifts",
        A::Power => "speed and power",
        A::General => "all-round training",
    }
}

const fn level_means(level: crate::kb::raw::Level) -> &'static str {
    use crate::kb::raw::Level as L;
    match level {
        L::Mild => "pain 1 to 2 of 10",
        L::Moderate => "pain 3 to 5 of 10",
        L::Severe => "pain above 5 of 10",
    }
}

const fn role_means(role: crate::kb::raw::Role) -> &'static str {
    use crate::kb::raw::Role as R;
    match role {
        R::Main => "a main lift",
        R::Accessory => "assistance with several joints",
        R::Isolation => "one joint",
        R::Power => "speed and power",
        R::Conditioning => "heart and lungs",
        R::Prehab => "light protective work",
        R::Decompression => "unloading and comfortable range",
    }
}
