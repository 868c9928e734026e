//! Listening, and stopping cleanly.
//!
//! Leans on actix-web's server, which finishes requests in flight when it is stopped, and on
//! tracing for the log. Leaves to others: what is served ([`super::routes`]).

use std::io::{self, Write as _};
use std::net::{SocketAddr, TcpListener, ToSocketAddrs as _};
use std::sync::Arc;
use std::time::Duration;

use actix_web::dev::Server;
use actix_web::{HttpServer, web};
use tracing::Level;
use tracing_subscriber::filter::Targets;
use tracing_subscriber::layer::{Layer as _, SubscriberExt as _};
use tracing_subscriber::util::SubscriberInitExt as _;
use tracing_subscriber::{fmt, registry};

use super::service::{Reopen, Service};
use crate::ask::{self, Engine};
use crate::settings::{LogForm, Settings};

/// A server that cannot start or breaks down.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Not an address.
    #[error("cannot listen on {given:?}: {reason}; write HOST:PORT, such as 127.0.0.1:8080 or [::1]:8080")]
    Address {
        /// As given.
        given: String,
        /// What is wrong with it.
        reason: String,
    },
    /// Somebody else listens there.
    #[error("cannot listen on {given:?}: the port is in use; stop the other program or choose another port")]
    InUse {
        /// As given.
        given: String,
    },
    /// The system refuses.
    #[error("cannot listen on {given:?}: not allowed; ports below 1024 need privileges, so choose a higher one")]
    NotAllowed {
        /// As given.
        given: String,
    },
    /// An address of some other machine.
    #[error("cannot listen on {given:?}: this machine has no such address; 0.0.0.0 stands for all it has")]
    NotHere {
        /// As given.
        given: String,
    },
    /// Any other fault on binding.
    #[error("cannot listen on {given:?}: {source}")]
    Listen {
        /// As given.
        given: String,
        /// What the system says.
        source: io::Error,
    },
    /// The server broke down while running.
    #[error("the server broke down: {0}")]
    Run(#[source] io::Error),
}

/// Serves a base, as the settings say, until SIGTERM or SIGINT. SIGTERM lets requests in flight
/// finish, SIGINT does not; SIGHUP loads the base again by `reopen`. Writes to stderr where it
/// listens, and then what the settings say of a log.
///
/// # Errors
/// [`ServeError`] naming the address when it cannot be listened on.
pub fn serve(engine: Engine, settings: Settings, reopen: Option<Reopen>) -> Result<(), ServeError> {
    log(settings.log);
    actix_web::rt::System::new().block_on(async {
        let (name, version) = (engine.kb().base.name.clone(), engine.kb().base.version.clone());
        let quiet = settings.log == LogForm::Off;
        // A failure here shows itself again in the first search.
        let _ = ask::warm(&engine);
        let service = Service::new(Arc::new(engine), settings, reopen);
        let (server, addresses) = start(Arc::clone(&service))?;
        heed_signals(&service, &server)?;
        let urls: Vec<String> = addresses.iter().map(|a| format!("http://{a}")).collect();
        let urls = urls.join(", ");
        if quiet {
            // A closed stderr is no reason not to serve.
            let _ = writeln!(io::stderr(), "stead: listening on {urls} (base {name} {version})");
        } else {
            tracing::info!(target: "stead", "listening on {urls} (base {name} {version})");
        }
        server.await.map_err(ServeError::Run)
    })
}

/// Sets up the log of this process; the first to do so decides. Of other crates only warnings are
/// written down.
fn log(form: LogForm) {
    let shown = Targets::new().with_target("stead", Level::INFO).with_default(Level::WARN);
    // What cannot be written is left out: a closed stderr is no reason to fall over.
    let lines = fmt::layer().with_writer(io::stderr).with_ansi(false).with_target(false).log_internal_errors(false);
    let set = match form {
        LogForm::Text => registry().with(lines.with_filter(shown)).try_init(),
        LogForm::Json => registry().with(lines.json().flatten_event(true).with_filter(shown)).try_init(),
        LogForm::Off => Ok(()),
    };
    // Whoever set up a log before keeps theirs.
    drop(set);
}

/// A server that listens already, to be awaited within an actix system, and its addresses; a port
/// of 0 has become a free one. [`Server::handle`] stops it. It heeds no signals.
///
/// # Errors
/// As [`serve`].
pub fn start(service: Arc<Service>) -> Result<(Server, Vec<SocketAddr>), ServeError> {
    let settings = service.settings.clone();
    let listeners = bind(&settings.listen)?;
    let fault = |source| ServeError::Listen { given: settings.listen.clone(), source };
    let workers = settings.workers.max(1);
    let mut server = HttpServer::new(move || super::app_of(Arc::clone(&service)))
        .workers(workers)
        .max_connections(settings.connections.div_ceil(workers))
        .keep_alive(settings.idle_wait)
        .client_request_timeout(settings.head_wait)
        .client_disconnect_timeout(LINGER)
        .shutdown_timeout(settings.stop_wait.as_secs())
        .disable_signals();
    for listener in listeners {
        server = server.listen(listener).map_err(fault)?;
    }
    let addresses = server.addrs();
    Ok((server.run(), addresses))
}

/// How long a connection that is being closed waits for the client to have read the reply.
const LINGER: Duration = Duration::from_secs(3);

/// Shortest time between saying that the server stops and stopping: every reply in it closes its
/// connection, so that no busy client sends its next question into a closing one.
const SETTLE: Duration = Duration::from_millis(500);

/// Stops on SIGTERM and SIGINT, reloads on SIGHUP.
#[cfg(unix)]
fn heed_signals(service: &Arc<Service>, server: &Server) -> Result<(), ServeError> {
    use actix_web::rt::signal::unix::{SignalKind, signal};
    let on = |kind| signal(kind).map_err(ServeError::Run);
    let (mut term, mut int, mut hup) =
        (on(SignalKind::terminate())?, on(SignalKind::interrupt())?, on(SignalKind::hangup())?);
    let (stopping, handle) = (Arc::clone(service), server.handle());
    actix_web::rt::spawn(async move {
        if term.recv().await.is_some() {
            tracing::info!(target: "stead", "stopping: requests in flight are finished");
            stopping.stop();
            actix_web::rt::time::sleep(stopping.settings.drain.max(SETTLE)).await;
            handle.stop(true).await;
        }
    });
    let handle = server.handle();
    actix_web::rt::spawn(async move {
        if int.recv().await.is_some() {
            handle.stop(false).await;
        }
    });
    let reloading = Arc::clone(service);
    actix_web::rt::spawn(async move {
        while hup.recv().await.is_some() {
            let service = Arc::clone(&reloading);
            // How it went is in the log.
            let _ = web::block(move || super::upkeep::reload_told(&service)).await;
        }
    });
    Ok(())
}

/// Stops on an interrupt from the keyboard.
#[cfg(not(unix))]
fn heed_signals(service: &Arc<Service>, server: &Server) -> Result<(), ServeError> {
    let (stopping, handle) = (Arc::clone(service), server.handle());
    actix_web::rt::spawn(async move {
        if actix_web::rt::signal::ctrl_c().await.is_ok() {
            stopping.stop();
            handle.stop(true).await;
        }
    });
    Ok(())
}

/// Listeners on every address that the host name stands for. One of several may be missing on this
/// machine; a port in use on any of them is an error, lest clients reach the other program.
fn bind(listen: &str) -> Result<Vec<TcpListener>, ServeError> {
    let mut listeners = Vec::new();
    let mut first_fault = None;
    for address in addresses(listen)? {
        match TcpListener::bind(address) {
            Ok(listener) => listeners.push(listener),
            Err(e) if e.kind() == io::ErrorKind::AddrInUse => {
                return Err(ServeError::InUse { given: listen.to_string() });
            }
            Err(e) => first_fault = first_fault.or(Some(e)),
        }
    }
    match first_fault {
        Some(source) if listeners.is_empty() => {
            let given = listen.to_string();
            Err(match source.kind() {
                io::ErrorKind::PermissionDenied => ServeError::NotAllowed { given },
                io::ErrorKind::AddrNotAvailable => ServeError::NotHere { given },
                _ => ServeError::Listen { given, source },
            })
        }
        _ => Ok(listeners),
    }
}

fn addresses(listen: &str) -> Result<Vec<SocketAddr>, ServeError> {
    let wrong = |reason: String| ServeError::Address { given: listen.to_string(), reason };
    if let Ok(address) = listen.parse::<SocketAddr>() {
        return Ok(vec![address]);
    }
    let Some((host, port)) = listen.rsplit_once(':') else { return Err(wrong("it has no port".to_string())) };
    if host.is_empty() {
        return Err(wrong("it has no host".to_string()));
    }
    let port: u16 = port.parse().map_err(|_| wrong(format!("{port:?} is no port from 0 to 65535")))?;
    if host.contains([':', '[', ']']) {
        return Err(wrong(format!("{host:?} is no IPv6 address in brackets")));
    }
    let found: Vec<SocketAddr> = (host, port)
        .to_socket_addrs()
        .map_err(|_| wrong(format!("no address is known for the host {host:?}")))?
        .collect();
    if found.is_empty() { Err(wrong(format!("no address is known for the host {host:?}"))) } else { Ok(found) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bad_addresses_name_the_value_and_the_form() {
        for given in [
            "",
            "8080",
            ":8080",
            "127.0.0.1",
            "127.0.0.1:",
            "127.0.0.1:ninety",
            "127.0.0.1:65536",
            "::1:80x",
            "[::1",
            "a b:80",
        ] {
            let error = addresses(given).unwrap_err().to_string();
            assert!(error.contains(&format!("{given:?}")) && error.contains("HOST:PORT"), "{error}");
        }
    }

    #[test]
    fn good_addresses_are_read() {
        for given in ["127.0.0.1:0", "[::1]:8080", "localhost:8080", "0.0.0.0:65535"] {
            assert!(!addresses(given).unwrap().is_empty(), "{given}");
        }
    }

    #[test]
    fn a_port_in_use_is_told_as_such() {
        let taken = TcpListener::bind("127.0.0.1:0").unwrap();
        let listen = taken.local_addr().unwrap().to_string();
        let error = bind(&listen).unwrap_err();
        assert!(matches!(&error, ServeError::InUse { given } if *given == listen), "{error}");
    }

    #[test]
    fn an_address_of_another_machine_is_told_as_such() {
        // Source: RFC 5737, a block reserved for documentation, so never this machine's.
        assert!(matches!(bind("192.0.2.1:8080"), Err(ServeError::NotHere { .. })));
    }
}
