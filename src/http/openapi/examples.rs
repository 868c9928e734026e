//! What the description says of each route beside its schemas, with examples set in the Boathouse.
//!
//! Leans on the names of schema files in [`crate::ask::schema`]. Leaves to others: putting it
//! together ([`super`]). Whoever adds a route adds its entry to [`OPERATIONS`].

use serde_json::Value;

use super::schemas::Components;
use crate::ask::{self, Engine};
use crate::http::error::{Failure, Kind};
use crate::http::figures::OPENMETRICS;
use crate::http::routes::{
    BATCH, CARRYOVER, EXPORT, FIND, FORCES, HEALTH, Health, KIT, LADDER, LIST, LOAD, METRICS, OPENAPI, PROBLEM, READY,
    RELOAD, SHOW, SWAP, TERMS, TERMS_OF, VARY, WEEK_AUDIT, WEEK_DELOAD, WEEK_MEND, posted,
};
use crate::http::service::Reloaded;

/// How a question is put.
#[derive(Clone, Copy)]
pub(super) enum Asks {
    /// As a JSON body, by the name of its schema file.
    Body(&'static str),
    /// By parameters, members of the schema file named; and the member that is a step of the path,
    /// in which case the path takes no parameters.
    Query(&'static str, Option<&'static str>),
    /// There is nothing to say.
    Nothing,
}

/// What a reply is.
#[derive(Clone, Copy)]
pub(super) enum Replies {
    /// JSON, by the name of its schema file; the example is the answer to the first question.
    Json(&'static str),
    /// JSON of the server's own, with an example.
    Own(fn(&mut Components) -> Value, &'static str),
    /// A text of a media type, with the start of one.
    Text(&'static str, &'static str),
    /// The base in every form of export.
    Exports,
}

/// A question as an example.
pub(super) struct Example {
    pub(super) name: &'static str,
    pub(super) summary: &'static str,
    /// The question as JSON; of a `GET` the parameters as members.
    pub(super) question: &'static str,
}

/// What answers an example, on a base.
type Answer = fn(&Engine, &[u8]) -> Result<Vec<u8>, Failure>;

/// A route described.
pub(super) struct Operation {
    pub(super) path: &'static str,
    pub(super) id: &'static str,
    pub(super) tag: &'static str,
    pub(super) means: &'static str,
    pub(super) asks: Asks,
    /// Parameters that must be there.
    pub(super) needs: &'static [&'static str],
    pub(super) replies: Replies,
    pub(super) replies_with: &'static str,
    /// Whether a client may keep the reply and ask with its tag.
    pub(super) kept: bool,
    /// Statuses beside the usual ones.
    pub(super) further: &'static [u16],
    pub(super) examples: &'static [Example],
    pub(super) answer: Option<Answer>,
}

/// What most operations have alike: a question as a body, and a reply to it.
const POSTED: Operation = Operation {
    path: "",
    id: "",
    tag: "lift",
    means: "",
    asks: Asks::Nothing,
    needs: &[],
    replies: Replies::Text("", ""),
    replies_with: "The answer.",
    kept: false,
    further: &[],
    examples: &[],
    answer: None,
};

/// The same of a route that is read.
const READ: Operation = Operation { tag: "base", kept: true, ..POSTED };

/// The same of a route for whoever runs the server.
const UPKEEP: Operation = Operation { tag: "server", replies_with: "As it stands now.", ..POSTED };

/// Groups of operations.
pub(super) const TAGS: &[(&str, &str)] = &[
    ("lift", "Questions about one lift: what stands in for it, what it asks of the body, what to put on the bar."),
    ("week", "Questions about a week of training."),
    ("base", "What the base knows: exercises, words, the whole of it."),
    ("several", "Several questions at once."),
    ("server", "For whoever runs the server."),
];

/// Every route that is described.
pub(super) const OPERATIONS: &[Operation] = &[
    Operation {
        path: SWAP.path,
        id: "swap",
        means: "Names substitutes for an exercise that the kit allows and that spare what is sore, best first, each with its reasons; \
                what was refused and by which gate; and the cautions that apply. A reply without substitutes is an answer.",
        asks: Asks::Body("swap-request.json"),
        replies: Replies::Json("swap-reply.json"),
        examples: &[
            Example {
                name: "winch-operator",
                summary: "The winch operator's low back is at 4 of 10 since Tuesday's launch",
                question: r#"{"exercise":"Romanian deadlift","sore":[{"region":"low-back","pain":4}],"gym":"boathouse","top":1}"#,
            },
            Example {
                name: "cox-in-the-loft",
                summary: "The cox squats for strength, today in the loft",
                question: r#"{"exercise":"back squat","sore":[{"region":"low-back","level":"moderate"}],"gym":"loft","aim":"strength","top":3}"#,
            },
            Example {
                name: "own-kit",
                summary: "The bowhand describes the kit on the pier, and asks for first loads",
                question: r#"{"exercise":"bench press","gym":{"id":"pier","name":"The pier","items":["kettlebells","bands"],"stock":{"kettlebell_max_kg":24}},"did":{"load":60,"unit":"kg","reps":5},"top":2}"#,
            },
        ],
        answer: Some(|engine, body| posted(engine, body, ask::swap::answer)),
        ..POSTED
    },
    Operation {
        path: FORCES.path,
        id: "forces",
        means: "Estimates what an exercise at a load asks of the low back and the joints, with how sure that is. Compression is told \
                beside published limits; it is no measure of harm.",
        asks: Asks::Body("forces-request.json"),
        replies: Replies::Json("forces-reply.json"),
        examples: &[Example {
            name: "deadlift-at-140",
            summary: "The winch operator deadlifts 140 kg",
            question: r#"{"exercise":"deadlift","load_kg":140,"body_mass_kg":92,"height_m":1.83}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::forces::answer)),
        ..POSTED
    },
    Operation {
        path: CARRYOVER.path,
        id: "carryover",
        means: "Tells how much of one lift another is, with a range and how sure that is, or why the two cannot be compared.",
        asks: Asks::Body("carryover-request.json"),
        replies: Replies::Json("carryover-reply.json"),
        examples: &[Example {
            name: "cox-with-a-kettlebell",
            summary: "The cox squats 100 kg and has a kettlebell today",
            question: r#"{"from":"back squat","to":"goblet squat"}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::carryover::answer)),
        ..POSTED
    },
    Operation {
        path: LOAD.path,
        id: "load",
        means: "Tells what to put on the bar for the first set of a lift, from a set of another, rounded down to what the gym's weights \
                make up.",
        asks: Asks::Body("load-request.json"),
        replies: Replies::Json("load-reply.json"),
        examples: &[Example {
            name: "front-squat",
            summary: "The bowhand squats 100 kg for five with two in reserve, and front squats today",
            question: r#"{"from":"back squat","to":"front squat","did":{"load":100,"unit":"kg","reps":5,"rir":2},"gym":"boathouse"}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::load::answer)),
        ..POSTED
    },
    Operation {
        path: LADDER.path,
        id: "ladder",
        means: "Builds rungs back to a lift: from the substitute that loads the sore region least, by closer ones, to the lift itself. \
                Tells what lets you go up and what sends you down.",
        asks: Asks::Body("ladder-request.json"),
        replies: Replies::Json("ladder-reply.json"),
        examples: &[Example {
            name: "back-to-the-deadlift",
            summary: "The winch operator wants back to the deadlift",
            question: r#"{"exercise":"deadlift","sore":[{"region":"low-back","pain":4}],"gym":"boathouse"}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::ladder::answer)),
        ..POSTED
    },
    Operation {
        path: VARY.path,
        id: "vary",
        means: "Names variations of a lift that train the same muscles and carry over, and a plan that takes turns among them.",
        asks: Asks::Body("vary-request.json"),
        replies: Replies::Json("vary-reply.json"),
        examples: &[Example {
            name: "fresh-squats",
            summary: "The cox wants fresh squats for sixteen weeks in town",
            question: r#"{"exercise":"back squat","weeks":16,"gym":"town","top":3}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::vary::answer)),
        ..POSTED
    },
    Operation {
        path: WEEK_AUDIT.path,
        id: "weekAudit",
        tag: "week",
        means: "Counts what a week carries, by day and by muscle, and says what stands out. Give `rows`, or a table as `csv`.",
        asks: Asks::Body("week-audit-request.json"),
        replies: Replies::Json("week-audit-reply.json"),
        examples: &[
            Example {
                name: "bowhand",
                summary: "Two days of the bowhand's week as a table",
                question: r#"{"csv":"day,exercise,sets,reps,load\nMon,back squat,5,5,100\n,bent-over row,4,8,60\nTue,Romanian deadlift,4,8,90\n","gym":"boathouse","level":"novice"}"#,
            },
            Example {
                name: "rows",
                summary: "The same as rows",
                question: r#"{"rows":[{"day":"Mon","exercise":"back squat","sets":5,"reps":5},{"day":"Tue","exercise":"Romanian deadlift","sets":4,"reps":"8 to 10"}]}"#,
            },
        ],
        answer: Some(|engine, body| posted(engine, body, ask::week::audit::answer)),
        ..POSTED
    },
    Operation {
        path: WEEK_MEND.path,
        id: "weekMend",
        tag: "week",
        means: "Finds the smallest change to a week that sets right what an audit finds to change. A search that may take seconds.",
        asks: Asks::Body("week-mend-request.json"),
        replies: Replies::Json("week-mend-reply.json"),
        examples: &[Example {
            name: "hinge-after-hinge",
            summary: "The bowhand hinges on Monday and on Tuesday",
            question: r#"{"csv":"day,exercise,sets,reps\nMon,Romanian deadlift,4,8\nTue,deadlift,4,5\nThu,back squat,4,6\n","gym":"boathouse"}"#,
        }],
        ..POSTED
    },
    Operation {
        path: WEEK_DELOAD.path,
        id: "weekDeload",
        tag: "week",
        means: "Writes a lighter week of the same lifts.",
        asks: Asks::Body("week-deload-request.json"),
        replies: Replies::Json("week-deload-reply.json"),
        examples: &[Example {
            name: "lighter",
            summary: "The cox is due a lighter week",
            question: r#"{"csv":"day,exercise,sets,reps,load\nMon,back squat,5,5,100\nThu,bench press,4,6,70\n","gym":"boathouse"}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::week::deload::answer)),
        ..POSTED
    },
    Operation {
        path: KIT.path,
        id: "kit",
        tag: "base",
        means: "Ranks what kit to buy next by what it opens, and names the best set for a budget, a floor and a ceiling. A search that \
                may take seconds.",
        asks: Asks::Body("kit-request.json"),
        replies: Replies::Json("kit-reply.json"),
        examples: &[Example {
            name: "for-the-loft",
            summary: "The crew has 200 to spend on the loft",
            question: r#"{"gym":"loft","budget":200,"top":3}"#,
        }],
        ..POSTED
    },
    Operation {
        path: BATCH.path,
        id: "batch",
        tag: "several",
        means: "Answers up to a hundred questions, each as it would be answered alone: `question` is the path behind `/v1/` \
                (`swap`, `week/audit`), `body` what would be posted there. A question at fault has its status and problem detail in its \
                place; the others are answered. Every question counts against the limit on the client. A batch may be sixteen times as \
                long as one question.",
        asks: Asks::Body("batch-request.json"),
        replies: Replies::Own(
            |components| components.own::<crate::http::batch::Reply>("BatchReply"),
            r#"{"replies":[{"status":422,"body":{"type":"/problems/unknown-kit","title":"Unknown gym or kit","status":422,"detail":"no gym \"slipwya\" in the base; did you mean \"slipway\"?","code":"unknown-kit","pointer":"/gym","nearest":["slipway"]}}]}"#,
        ),
        replies_with: "The replies, in the order of the questions.",
        examples: &[Example {
            name: "crew",
            summary: "The cox and the bowhand ask together; the bowhand mistypes the gym",
            question: r#"{"questions":[{"question":"swap","body":{"exercise":"back squat","gym":"loft","top":1}},{"question":"swap","body":{"exercise":"deadlift","gym":"slipwya"}}]}"#,
        }],
        ..POSTED
    },
    Operation {
        path: FIND.path,
        id: "find",
        means: "Searches exercises by words: a name with slips, a short form, a muscle, a pattern, kit.",
        asks: Asks::Query("find-request.json", None),
        needs: &["text"],
        replies: Replies::Json("find-reply.json"),
        examples: &[Example {
            name: "slipped-away",
            summary: "A name that has slipped the winch operator's mind",
            question: r#"{"text":"chest suported row","top":3}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::find::answer)),
        ..READ
    },
    Operation {
        path: LIST.path,
        id: "list",
        means: "Lists the exercises that meet every filter. Several values stand in one parameter with commas, or in several.",
        asks: Asks::Query("list-request.json", None),
        replies: Replies::Json("list-reply.json"),
        examples: &[Example {
            name: "lats-kindly",
            summary: "What the slipway has for the lats that is kind to the low back",
            question: r#"{"muscle":"lats","kind_to":["low-back"],"gym":"slipway"}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::list::answer)),
        ..READ
    },
    Operation {
        path: SHOW.path,
        id: "show",
        means: "Tells one exercise whole, by id, name or alias, with its neighbours.",
        asks: Asks::Query("show-request.json", Some("exercise")),
        replies: Replies::Json("show-reply.json"),
        examples: &[Example {
            name: "goblet",
            summary: "The goblet squat",
            question: r#"{"exercise":"goblet-squat"}"#,
        }],
        answer: Some(|engine, body| posted(engine, body, ask::show::answer)),
        ..READ
    },
    Operation {
        path: TERMS.path,
        id: "terms",
        means: "Lists the words that questions may use, of one kind or of all.",
        asks: Asks::Query("terms-request.json", None),
        replies: Replies::Json("terms-reply.json"),
        examples: &[Example { name: "gyms", summary: "The gyms", question: r#"{"kind":"gyms"}"# }],
        answer: Some(|engine, body| posted(engine, body, ask::terms::answer)),
        ..READ
    },
    Operation {
        path: TERMS_OF.path,
        id: "termsOfKind",
        means: "Lists the words of one kind.",
        asks: Asks::Query("terms-request.json", Some("kind")),
        replies: Replies::Json("terms-reply.json"),
        examples: &[Example { name: "levels", summary: "Levels of soreness", question: r#"{"kind":"levels"}"# }],
        answer: Some(|engine, body| posted(engine, body, ask::terms::answer)),
        ..READ
    },
    Operation {
        path: EXPORT.path,
        id: "export",
        means: "Writes the base down: whole records as JSON, a row an exercise as CSV, or the graph of exercises. JSON when left out. \
                More than a megabyte.",
        asks: Asks::Query("export-request.json", None),
        replies: Replies::Exports,
        replies_with: "The base.",
        examples: &[Example { name: "table", summary: "One row an exercise", question: r#"{"as":"csv"}"# }],
        ..READ
    },
    Operation {
        path: PROBLEM.path,
        id: "problem",
        tag: "server",
        means: "Tells what an error code means; the `type` of a problem detail leads here.",
        asks: Asks::Query("problem", Some("code")),
        replies: Replies::Own(
            |components| components.own::<Kind>("ProblemKind"),
            r#"{"code":"unknown-kit","title":"Unknown gym or kit","means":"A gym or an item of kit that the base does not know, or one with a number out of bounds."}"#,
        ),
        examples: &[Example { name: "kit", summary: "Unknown kit", question: r#"{"code":"unknown-kit"}"# }],
        ..READ
    },
    Operation {
        path: OPENAPI.path,
        id: "openapi",
        tag: "server",
        means: "This document.",
        replies: Replies::Own(
            |_| serde_json::json!({"type": "object", "required": ["openapi", "paths"]}),
            r#"{"openapi":"3.1.0","info":{},"paths":{}}"#,
        ),
        ..READ
    },
    Operation {
        path: RELOAD.path,
        id: "reload",
        means: "Reads the folders of `--kb` and `--overlay` again and serves what is in them from the next question on; questions under \
                way keep the base that they began with. A base that is broken is refused with every problem, and the one before is \
                served on. Only a client on the server's own machine may ask, without a proxy between. SIGHUP does the same.",
        replies: Replies::Own(
            |components| components.own::<Reloaded>("Reloaded"),
            r#"{"changed":true,"before":"5f3a9c01d2e4b687","stamp":"0c41d7be92a85f36","exercises":1015}"#,
        ),
        further: &[403, 409],
        ..UPKEEP
    },
    Operation {
        path: HEALTH.path,
        id: "health",
        means: "Whether the process answers, and on which base.",
        replies: Replies::Own(
            |components| components.own::<Health<'static>>("Health"),
            r#"{"status":"ok","base":{"name":"stead","version":"1","stamp":"5f3a9c01d2e4b687"}}"#,
        ),
        ..UPKEEP
    },
    Operation {
        path: READY.path,
        id: "ready",
        means: "Whether to send requests here: no longer once the server is about to stop.",
        replies: Replies::Own(
            |components| components.own::<Health<'static>>("Health"),
            r#"{"status":"ready","base":{"name":"stead","version":"1","stamp":"5f3a9c01d2e4b687"}}"#,
        ),
        further: &[503],
        ..UPKEEP
    },
    Operation {
        path: METRICS.path,
        id: "metrics",
        means: "Counts and times in the OpenMetrics text form, by route, method and status; nothing of what was asked.",
        replies: Replies::Text(
            OPENMETRICS,
            "# HELP stead_requests Requests answered.\n# TYPE stead_requests counter\n",
        ),
        ..UPKEEP
    },
];
