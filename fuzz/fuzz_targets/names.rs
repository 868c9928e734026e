//! Names of exercises as people type them.
//!
//! Leans on the questions that read a name. Whatever is typed, it is an exercise, several, or none
//! with the nearest; an id that is told leads back to itself.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use stead::ask::{Engine, Error, find, show};

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().expect("the shipped base opens"));

fuzz_target!(|name: &str| {
    match show::answer(&ENGINE, &show::Request { exercise: name.to_string() }) {
        Ok(reply) => assert!(ENGINE.kb().row_of(&reply.exercise.id).is_some()),
        Err(Error::UnknownExercise { nearest, .. }) => {
            assert!(nearest.iter().all(|id| ENGINE.kb().row_of(id).is_some()));
        }
        Err(Error::AmbiguousExercise { candidates, .. }) => assert!(candidates.len() > 1),
        Err(Error::Empty { .. } | Error::Shape { .. }) => {}
        Err(error) => panic!("{error}"),
    }
    match find::answer(&ENGINE, &find::Request { text: name.to_string(), top: Some(3) }) {
        Ok(reply) => assert!(reply.hits.len() <= 3 && reply.hits.iter().all(|h| h.score.is_finite())),
        Err(Error::Empty { .. } | Error::Shape { .. }) => {}
        Err(error) => panic!("{error}"),
    }
});
