//! Listening, and stopping cleanly.
//!
//! Leans on actix-web's server, which finishes requests in flight on SIGTERM. Leaves to others:
//! what is served ([`super::routes`]).

use std::io::{self, Write as _};
use std::net::{SocketAddr, TcpListener, ToSocketAddrs as _};
use std::sync::Arc;

use actix_web::HttpServer;
use actix_web::dev::Server;

use crate::ask::Engine;

/// Threads that answer. One question takes tens of microseconds, so two go a long way.
pub const WORKERS: usize = 2;

/// Longest wait for requests in flight on a stop, seconds; longer than [`super::BODY_WAIT`].
const STOP_WAIT: u64 = 15;

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

/// Serves a base on `listen` (HOST:PORT) until SIGTERM or SIGINT. SIGTERM lets requests in flight
/// finish; SIGINT does not. Writes one line to stderr when it listens.
///
/// # Errors
/// [`ServeError`] naming the address when it cannot be listened on.
pub fn serve(engine: Engine, listen: &str) -> Result<(), ServeError> {
    actix_web::rt::System::new().block_on(async {
        let base = (engine.kb().base.name.clone(), engine.kb().base.version.clone());
        let (server, addresses) = start(Arc::new(engine), listen)?;
        let urls: Vec<String> = addresses.iter().map(|a| format!("http://{a}")).collect();
        // A closed stderr is no reason not to serve.
        let _ = writeln!(io::stderr(), "stead: listening on {} (base {} {})", urls.join(", "), base.0, base.1);
        server.await.map_err(ServeError::Run)
    })
}

/// A server that listens already, to be awaited within an actix system, and its addresses; a port
/// of 0 has become a free one. [`Server::handle`] stops it.
///
/// # Errors
/// As [`serve`].
pub fn start(engine: Arc<Engine>, listen: &str) -> Result<(Server, Vec<SocketAddr>), ServeError> {
    let listeners = bind(listen)?;
    let fault = |source| ServeError::Listen { given: listen.to_string(), source };
    let mut server =
        HttpServer::new(move || super::app(Arc::clone(&engine))).workers(WORKERS).shutdown_timeout(STOP_WAIT);
    for listener in listeners {
        server = server.listen(listener).map_err(fault)?;
    }
    let addresses = server.addrs();
    Ok((server.run(), addresses))
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
