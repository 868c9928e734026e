//! A closed loop of questions over HTTP: each of a few connections asks, waits for the whole
//! answer, writes down how long that took and asks again. Times are as they were, corrected for
//! nothing.
//!
//! Leans on the standard library alone. Leaves to others: starting the server, and throughput
//! (`benches/load`). Prints one line of JSON: requests, seconds, mean size of a reply in bytes, and
//! percentiles in microseconds.
//!
//! ```text
//! cargo run --release --example closed -- MIX HOST:PORT CONNECTIONS SECONDS
//! ```

use std::error::Error;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

fn main() -> Result<(), Box<dyn Error>> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let [mix, address, connections, seconds] = given.as_slice() else {
        return Err("give a mix, HOST:PORT, connections and seconds".into());
    };
    let (connections, seconds): (usize, f64) = (connections.parse()?, seconds.parse()?);
    let text = std::fs::read_to_string(mix)?;
    let requests: Vec<Vec<u8>> = text.lines().map(|body| request(address, body)).collect();
    let until = Instant::now() + Duration::from_secs_f64(seconds);
    let asked = std::thread::scope(|scope| {
        let loops: Vec<_> = (0..connections)
            .map(|at| {
                let requests = &requests;
                scope.spawn(move || ask(address, requests, at * requests.len() / connections, until))
            })
            .collect();
        loops.into_iter().map(|l| l.join().unwrap_or_else(|_| Err("a loop broke".to_string()))).collect::<Vec<_>>()
    });
    let (mut times, mut bytes) = (Vec::new(), 0);
    for one in asked {
        let (t, b) = one?;
        times.extend(t);
        bytes += b;
    }
    times.sort_unstable();
    let at = |share: f64| {
        let place = ((times.len() as f64 * share).ceil() as usize).clamp(1, times.len().max(1)) - 1;
        times.get(place).map_or(0.0, |ns| *ns as f64 / 1000.0)
    };
    println!(
        "{{\"requests\": {}, \"seconds\": {seconds}, \"reply_bytes\": {}, \"p50_us\": {:.1}, \"p90_us\": {:.1}, \"p99_us\": {:.1}, \"p999_us\": {:.1}}}",
        times.len(),
        bytes / times.len().max(1),
        at(0.5),
        at(0.9),
        at(0.99),
        at(0.999)
    );
    Ok(())
}

fn request(address: &str, body: &str) -> Vec<u8> {
    let n = body.len();
    format!("POST /v1/swap HTTP/1.1\r\nhost: {address}\r\ncontent-type: application/json\r\ncontent-length: {n}\r\n\r\n{body}")
        .into_bytes()
}

/// Asks until the time is over: nanoseconds of each request, and bytes of all bodies.
fn ask(address: &str, requests: &[Vec<u8>], first: usize, until: Instant) -> Result<(Vec<u64>, usize), String> {
    let fault = |e: std::io::Error| format!("{address}: {e}");
    let mut stream = TcpStream::connect(address).map_err(fault)?;
    stream.set_nodelay(true).map_err(fault)?;
    let (mut times, mut bytes) = (Vec::new(), 0);
    let mut buffer = vec![0u8; 64 * 1024];
    for request in requests.iter().cycle().skip(first) {
        let start = Instant::now();
        if start >= until {
            break;
        }
        stream.write_all(request).map_err(fault)?;
        bytes += body(&mut stream, &mut buffer).map_err(|e| format!("{address}: {e}"))?;
        times.push(u64::try_from(start.elapsed().as_nanos()).unwrap_or(u64::MAX));
    }
    Ok((times, bytes))
}

/// Reads one answer to its end; the length of its body. Anything but 200 is an error.
fn body(stream: &mut TcpStream, buffer: &mut [u8]) -> Result<usize, Box<dyn Error>> {
    let mut have = 0;
    loop {
        let room = buffer.get_mut(have..).filter(|room| !room.is_empty()).ok_or("an answer that is too long")?;
        let n = stream.read(room)?;
        if n == 0 {
            return Err("the server hung up".into());
        }
        have += n;
        let got = buffer.get(..have).unwrap_or_default();
        let Some(end) = got.windows(4).position(|w| w == b"\r\n\r\n") else { continue };
        let head = String::from_utf8_lossy(got.get(..end).unwrap_or_default()).to_lowercase();
        if !head.starts_with("http/1.1 200") {
            return Err(head.lines().next().unwrap_or_default().to_string().into());
        }
        let length =
            head.lines().find_map(|l| l.strip_prefix("content-length:")).ok_or("an answer without a length")?;
        let length: usize = length.trim().parse()?;
        if have >= end + 4 + length {
            return Ok(length);
        }
    }
}
