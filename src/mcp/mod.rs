//! The questions as tools of the Model Context Protocol, over standard input and output.
//!
//! Leans on [`crate::ask`] for every answer and on rmcp for the protocol. Leaves to others: which
//! questions there are ([`tools`]), what an answer says ([`crate::ask`]). Standard output carries
//! the protocol and nothing else; nothing that was asked is kept or written down.
//!
//! A reply is the one that `--json` prints: as structured content, and as text for programs that
//! read no other. A question that cannot be answered is an error of the tool, with the place of
//! what is wrong and the nearest valid values, so that whoever asked can put it right; only a tool
//! that does not exist is an error of the protocol.

pub mod tools;

use std::sync::{Arc, OnceLock};

use rmcp::model::{
    CallToolRequestParams, CallToolResponse, CallToolResult, ContentBlock, ErrorData, Implementation, JsonObject,
    ListToolsResult, PaginatedRequestParams, ServerCapabilities, ServerConfig, Tool as Listed, ToolAnnotations,
};
use rmcp::service::{RequestContext, RoleServer, ServerInitializeError};
use rmcp::{ServerHandler, ServiceExt as _};
use serde_json::Value;
use tokio::sync::Semaphore;

use crate::ask::{Engine, json, schema};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use tools::{Problem, TOOLS, Told, tool};

/// A conversation that broke down.
#[derive(Debug, thiserror::Error)]
pub enum McpError {
    /// The other side did not open it as the protocol wants.
    #[error("the conversation did not begin: {0}; it opens with a request `initialize`, one JSON object a line")]
    Opening(String),
    /// The program could not go on.
    #[error("the conversation broke down: {0}")]
    Broken(String),
}

/// Answers on standard input and output until the input ends.
///
/// # Errors
/// [`McpError`] when the other side does not speak the protocol. An input that ends is none.
pub fn serve(engine: Engine) -> Result<(), McpError> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(|e| McpError::Broken(e.to_string()))?;
    let ended = runtime.block_on(async {
        let running = match Server::new(Arc::new(engine)).serve(rmcp::transport::stdio()).await {
            Ok(running) => running,
            Err(ServerInitializeError::ConnectionClosed(_)) => return Ok(()),
            Err(e) => return Err(McpError::Opening(opening(&e))),
        };
        running.waiting().await.map(|_| ()).map_err(|e| McpError::Broken(e.to_string()))
    });
    // A read of standard input cannot be called off, and nobody waits for it any more.
    runtime.shutdown_background();
    ended
}

/// What went wrong at the start, without the message that was sent.
fn opening(error: &ServerInitializeError) -> String {
    match error {
        ServerInitializeError::ExpectedInitializeRequest(_) => "it was opened with another message".to_string(),
        other => other.to_string(),
    }
}

/// Answers made at the same time; the rest wait for their turn.
pub const WORKERS: usize = 2;

/// One base behind the protocol.
pub struct Server {
    engine: Arc<Engine>,
    turns: Semaphore,
    listed: OnceLock<Vec<Listed>>,
}

impl Server {
    /// Over a base.
    #[must_use]
    pub fn new(engine: Arc<Engine>) -> Self {
        Self { engine, turns: Semaphore::new(WORKERS), listed: OnceLock::new() }
    }
}

impl ServerHandler for Server {
    fn get_info(&self) -> ServerConfig {
        let program = Implementation::new(env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION"))
            .with_title("What to train instead")
            .with_description(env!("CARGO_PKG_DESCRIPTION"));
        ServerConfig::new(ServerCapabilities::builder().enable_tools().build())
            .with_server_info(program)
            .with_instructions(instructions(self.engine.kb()))
    }

    async fn list_tools(
        &self,
        _: Option<PaginatedRequestParams>,
        _: RequestContext<RoleServer>,
    ) -> Result<ListToolsResult, ErrorData> {
        Ok(ListToolsResult::with_all_items(self.listed.get_or_init(listed).clone()))
    }

    fn get_tool(&self, name: &str) -> Option<Listed> {
        self.listed.get_or_init(listed).iter().find(|t| t.name == name).cloned()
    }

    async fn call_tool(
        &self,
        request: CallToolRequestParams,
        _: RequestContext<RoleServer>,
    ) -> Result<CallToolResponse, ErrorData> {
        let Some(tool) = tool(&request.name) else {
            let near = crate::kb::draft::nearest(&request.name, TOOLS.iter().map(|t| t.name));
            let hint = near.map_or_else(String::new, |near| format!("; did you mean {near:?}?"));
            return Err(ErrorData::invalid_params(format!("no tool called {:?}{hint}", request.name), None));
        };
        let fault = || ErrorData::internal_error("the answer could not be made", None);
        let _turn = self.turns.acquire().await.map_err(|_| fault())?;
        let engine = Arc::clone(&self.engine);
        let arguments = Value::Object(request.arguments.unwrap_or_default());
        // Beside the conversation, so that a long answer holds up no other message, and a fault of
        // the program ends one answer only.
        let answered = tokio::task::spawn_blocking(move || tool.answer(&engine, &arguments)).await;
        Ok(match answered.map_err(|_| fault())? {
            Ok(told) => answer(told),
            Err(problem) => refusal(&problem)?,
        }
        .into())
    }
}

fn answer(told: Told) -> CallToolResult {
    let mut result = CallToolResult::success(vec![ContentBlock::text(told.text)]);
    if !told.cautions.is_empty() {
        result.content.push(ContentBlock::text(told.cautions.join("\n")));
    }
    result.structured_content = Some(told.reply);
    result
}

/// As text alone: structured content would have to be a reply, and clients hold it to that.
fn refusal(problem: &Problem) -> Result<CallToolResult, ErrorData> {
    let text = json::text(problem).map_err(|e| ErrorData::internal_error(e.to_string(), None))?;
    Ok(CallToolResult::error(vec![ContentBlock::text(text)]))
}

/// The tools as they are listed: every one only reads, and knows nothing beyond its base.
fn listed() -> Vec<Listed> {
    let schemas = schema::all();
    let of = |tool: &tools::Tool, end: &str| -> JsonObject {
        let name = format!("{}-{end}.json", tool.schema);
        match schemas.iter().find(|(file, _)| *file == name) {
            Some((_, Value::Object(schema))) => schema.clone(),
            _ => JsonObject::new(),
        }
    };
    let list = TOOLS.iter().map(|tool| {
        let input = of(tool, "request");
        let takes_signs = input.get("properties").is_some_and(|p| p.get("signs").is_some());
        let about = if takes_signs { format!("{} {SIGNS}", tool.about) } else { tool.about.to_string() };
        Listed::new(tool.name, about, input)
            .with_title(tool.title)
            .with_raw_output_schema(Arc::new(of(tool, "reply")))
            .with_annotations(
                ToolAnnotations::with_title(tool.title).read_only(true).idempotent(true).open_world(false),
            )
    });
    list.collect()
}

/// Added to the description of every tool that takes warning signs.
const SIGNS: &str = "Pass every warning sign that the person names in `signs`: an emergency is answered with what to \
                     do and no exercise.";

/// What the server is, what to do in an emergency, and the cautions that belong with every answer.
fn instructions(kb: &Kb) -> String {
    let emergencies: Vec<&str> =
        kb.cautions.signs.iter().filter(|s| s.urgency == Urgency::Emergency).map(|s| s.text.as_str()).collect();
    let action = kb.cautions.actions.get(&Urgency::Emergency).map_or("", String::as_str);
    let always: Vec<&str> = kb.cautions.always.iter().map(|c| c.text.as_str()).collect();
    format!(
        "What to train instead of an exercise when something is sore or kit is short, and how much, for one person \
         and the kit they have; from the curated base {} {}. Every figure is an estimate by coaching judgement and \
         published tables, with its range where it has one; nothing here says that a lift is safe.\n\
         \n\
         Names of exercises may be loose; `find` and `terms` help where one is not known. A question that cannot be \
         answered comes back as an error with `pointer` and `nearest`: put it right and ask again.\n\
         \n\
         Emergency: if the person has any of these, suggest no exercise and tell them: {action} The signs: {}. Pass \
         them, and any other warning sign, in `signs` (`terms` of kind `signs` has the ids).\n\
         \n\
         Cautions that belong with every answer, to be shown with it, as are those in the reply:\n- {}",
        kb.base.name,
        kb.base.version,
        emergencies.join("; "),
        always.join("\n- "),
    )
}
