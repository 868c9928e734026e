//! Measures compared with libraries by other people.
//!
//! Leans on the fixtures in `tests/fixtures` and the generators beside them, which name library,
//! version and seed; `.ci/run` runs the generators again and compares. Leaves to others: what
//! the measures are used for.

use serde_json::Value;
use stead::ask::score::ndcg;

use crate::read;

const NEAR: f64 = 1e-9;

fn cases(name: &str) -> Vec<Value> {
    let fixture: Value = serde_json::from_str(&read(format!("tests/fixtures/{name}"))).unwrap();
    fixture["cases"].as_array().unwrap().clone()
}

fn numbers(list: &Value) -> Vec<f64> {
    list.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

/// Both sides normalise the unrestricted distance by the longer length in characters, and both
/// add the prefix of Jaro-Winkler only above 0.7, so every pair can be compared.
#[test]
fn string_similarities_are_those_of_rapidfuzz() {
    let cases = cases("strings.json");
    assert_eq!(cases.len(), 300);
    let mut wrong = Vec::new();
    for case in &cases {
        let (a, b) = (case["a"].as_str().unwrap(), case["b"].as_str().unwrap());
        for (what, ours) in
            [("damerau", strsim::normalized_damerau_levenshtein(a, b)), ("jaro_winkler", strsim::jaro_winkler(a, b))]
        {
            let theirs = case[what].as_f64().unwrap();
            if (ours - theirs).abs() > NEAR {
                wrong.push(format!("{what} of {a:?} and {b:?}: {ours}, rapidfuzz {theirs}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{} differ\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn ndcg_is_that_of_trec_eval() {
    let cases = cases("ndcg.json");
    assert_eq!(cases.len(), 200);
    for case in &cases {
        let ours = ndcg(&numbers(&case["gains"]), &numbers(&case["ideal"]), 5);
        let theirs = case["ndcg5"].as_f64().unwrap();
        assert!((ours - theirs).abs() < NEAR, "{case}: {ours}");
    }
}
