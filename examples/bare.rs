//! A bare server to measure the real one against: one handler that collects the body of a request,
//! as it must to keep the connection, serialises a plain struct of the same size and shape each
//! time, and does nothing else.
//!
//! Leans on actix-web alone; the structs hold texts of their own, read at start from replies of
//! the library to every question of a mix (one JSON body a line). Leaves to others: asking it
//! (`benches/load`).
//!
//! ```text
//! cargo run --release --example bare -- MIX HOST:PORT
//! ```

use std::error::Error;
use std::sync::atomic::{AtomicUsize, Ordering};

use actix_web::{App, HttpResponse, HttpServer, web};
use serde::{Deserialize, Serialize};
use stead::ask::{Engine, json, swap};
use stead::settings::Settings;

#[derive(Serialize, Deserialize)]
struct Named {
    id: String,
    name: String,
}

#[derive(Serialize, Deserialize)]
struct Basis {
    name: String,
    version: String,
    stamp: String,
}

#[derive(Serialize, Deserialize)]
struct Sore {
    region: String,
    aggravator: Option<String>,
    level: String,
    original_grade: u8,
}

#[derive(Serialize, Deserialize)]
struct Gym {
    id: String,
    name: String,
    assumed: bool,
}

#[derive(Serialize, Deserialize)]
struct Question {
    exercise: Named,
    read_as: String,
    sore: Vec<Sore>,
    gym: Gym,
    aim: String,
}

#[derive(Serialize, Deserialize)]
struct Eased {
    region: String,
    from: u8,
    to: u8,
}

#[derive(Serialize, Deserialize)]
struct Substitute {
    id: String,
    name: String,
    score: f64,
    tier: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    reservation: Option<String>,
    keeps_percent: u8,
    spine: String,
    eased: Vec<Eased>,
    kit: Vec<String>,
    sets_of: String,
    reasons: Vec<String>,
    cues: Vec<String>,
    cautions: Vec<String>,
}

#[derive(Serialize, Deserialize)]
struct Pair {
    exercises: Vec<Named>,
    keeps_percent: u8,
}

#[derive(Serialize, Deserialize)]
struct Opening {
    item: String,
    phrase: String,
    opens: Vec<Named>,
}

#[derive(Serialize, Deserialize)]
struct StandIn {
    item: String,
    phrase: String,
    items: Vec<String>,
    household: Vec<String>,
    how: String,
    caution: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    most_load_kg: Option<f64>,
}

#[derive(Serialize, Deserialize)]
struct Improvised {
    id: String,
    name: String,
    score: f64,
    keeps_percent: u8,
    spine: String,
    eased: Vec<Eased>,
    kit: Vec<String>,
    sets_of: String,
    stand_in: StandIn,
    cautions: Vec<String>,
}

#[derive(Serialize, Deserialize)]
struct Light {
    id: String,
    name: String,
    region: String,
    role: String,
    grade: u8,
    why: String,
    sets_of: String,
    kit: Vec<String>,
    cautions: Vec<String>,
}

#[derive(Serialize, Deserialize)]
struct Refused {
    gate: String,
    asks: String,
    count: usize,
    examples: Vec<Example>,
}

#[derive(Serialize, Deserialize)]
struct Example {
    exercise: Named,
    reason: String,
}

#[derive(Serialize, Deserialize)]
struct Reply {
    base: Basis,
    signs: Vec<String>,
    question: Question,
    substitutes: Vec<Substitute>,
    passed: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    pair: Option<Pair>,
    nearest_kit: Vec<Opening>,
    improvised: Vec<Improvised>,
    also_helps: Vec<Light>,
    refused: Vec<Refused>,
    notes: Vec<String>,
    cautions: Vec<String>,
}

/// Every reply of a mix as plain structs, proved to serialise to the same bytes.
fn replies(mix: &str) -> Result<Vec<Reply>, Box<dyn Error>> {
    let engine = Engine::shipped()?;
    let mut replies = Vec::new();
    for line in mix.lines() {
        let question: swap::Request = serde_json::from_str(line)?;
        let text = json::text(&swap::answer(&engine, &question)?)?;
        let reply: Reply = serde_json::from_str(&text)?;
        if serde_json::to_string(&reply)? != text {
            return Err(format!("the plain struct is not of the shape of the reply to {line}").into());
        }
        replies.push(reply);
    }
    Ok(replies)
}

struct State {
    replies: Vec<Reply>,
    next: AtomicUsize,
}

async fn answer(_: web::Bytes, state: web::Data<State>) -> HttpResponse {
    let at = state.next.fetch_add(1, Ordering::Relaxed) % state.replies.len();
    match state.replies.get(at).map(serde_json::to_vec) {
        Some(Ok(body)) => HttpResponse::Ok().content_type("application/json").body(body),
        _ => HttpResponse::InternalServerError().finish(),
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let [mix, listen] = given.as_slice() else { return Err("give a mix and HOST:PORT".into()) };
    let replies = replies(&std::fs::read_to_string(mix)?)?;
    let state = web::Data::new(State { replies, next: AtomicUsize::new(0) });
    let server = HttpServer::new(move || App::new().app_data(state.clone()).route("/v1/swap", web::post().to(answer)));
    actix_web::rt::System::new().block_on(server.workers(Settings::default().workers).bind(listen.as_str())?.run())?;
    Ok(())
}
