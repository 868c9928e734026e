//! Two doors, one room: every judged question asked on the command line and over HTTP.
//!
//! Leans on the built program for one door and actix-web's in-process service for the other.
//! Leaves to others: whether the answers are good (`judged`).

use std::process::Command;
use std::sync::Arc;

use actix_web::App;
use actix_web::rt::System;
use actix_web::test::{TestRequest, call_and_read_body, init_service};
use serde_json::Value;
use stead::ask::swap::{GymAsk, Request};
use stead::ask::{Engine, score};
use stead::http::Limits;

/// The arguments that say what the request says; its own gym goes into a file in `folder`.
fn arguments(request: &Request, folder: &std::path::Path) -> Vec<String> {
    let mut args = vec!["swap".to_string(), request.exercise.clone(), "--json".to_string()];
    for sore in &request.sore {
        let aggravator = sore.aggravator.as_ref().map_or(String::new(), |a| format!(":{a}"));
        let level = sore.level.map_or(String::new(), |l| format!("={l}"));
        args.extend(["--sore".to_string(), format!("{}{aggravator}{level}", sore.region)]);
    }
    match &request.gym {
        Some(GymAsk::Own(gym)) => {
            let file = folder.join(format!("{}.json", gym.id));
            std::fs::write(&file, serde_json::to_string(gym).unwrap()).unwrap();
            args.extend(["--gym".to_string(), file.display().to_string()]);
        }
        Some(GymAsk::Named(id)) => args.extend(["--gym".to_string(), id.clone()]),
        None => {}
    }
    args.extend(request.improvise.then(|| "--improvise".to_string()));
    args.extend(request.aim.iter().flat_map(|aim| ["--aim".to_string(), aim.to_string()]));
    args.extend(request.top.iter().flat_map(|top| ["--top".to_string(), top.to_string()]));
    args
}

#[test]
fn every_judged_question_gets_the_same_answer_at_both_doors() {
    let set = score::shipped().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let engine = Arc::new(Engine::shipped().unwrap());
    System::new().block_on(async {
        let app = init_service(App::new().configure(stead::http::configure(engine, Limits::default()))).await;
        // As it was judged, and with makeshift set-ups counted as kit.
        for (question, improvise) in set.questions.iter().flat_map(|q| [(q, false), (q, true)]) {
            let request = Request { improvise, ..score::request(&set, question) };
            let said =
                Command::new(env!("CARGO_BIN_EXE_stead")).args(arguments(&request, folder.path())).output().unwrap();
            assert!(said.stderr.is_empty(), "{}: {}", question.id, String::from_utf8_lossy(&said.stderr));
            let posted = TestRequest::post().uri("/v1/swap").set_json(&request).to_request();
            let served = call_and_read_body(&app, posted).await;
            assert_eq!(
                String::from_utf8_lossy(&said.stdout).trim_end(),
                String::from_utf8_lossy(&served),
                "{}",
                question.id
            );
            assert!(serde_json::from_slice::<Value>(&served).unwrap()["substitutes"].is_array());
        }
    });
}
