//! How often one client may ask, and who a client is.
//!
//! Leans on governor, which keeps one number a client (the generic cell rate algorithm). Leaves to
//! others: the reply to one who asks too often ([`super::error`]).

use std::net::{IpAddr, Ipv4Addr};
use std::num::NonZeroU32;
use std::sync::atomic::{AtomicU32, Ordering};

use actix_web::HttpRequest;
use governor::clock::{Clock as _, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};

use super::error::Failure;
use crate::settings::{Network, Settings, client};

/// After so many questions, clients that have not asked lately are forgotten.
const SWEEP_EVERY: u32 = 8192;

/// The limit on every client.
pub(super) struct Rate {
    limiter: DefaultKeyedRateLimiter<IpAddr>,
    clock: DefaultClock,
    burst: u32,
    since_sweep: AtomicU32,
}

impl Rate {
    /// As the settings say; none where they set no limit.
    pub(super) fn new(settings: &Settings) -> Option<Self> {
        let rate = NonZeroU32::new(settings.rate)?;
        let burst = NonZeroU32::new(settings.burst)?;
        let limiter = RateLimiter::dashmap(Quota::per_second(rate).allow_burst(burst));
        Some(Self { limiter, clock: DefaultClock::default(), burst: burst.get(), since_sweep: AtomicU32::new(0) })
    }

    /// Counts `questions` of a client; more than a burst count as one burst.
    pub(super) fn take(&self, who: IpAddr, questions: u32) -> Result<(), Failure> {
        if self.since_sweep.fetch_add(1, Ordering::Relaxed) >= SWEEP_EVERY {
            self.since_sweep.store(0, Ordering::Relaxed);
            self.limiter.retain_recent();
            self.limiter.shrink_to_fit();
        }
        let Some(questions) = NonZeroU32::new(questions.min(self.burst)) else { return Ok(()) };
        match self.limiter.check_key_n(&who, questions) {
            Ok(Ok(())) => Ok(()),
            Ok(Err(until)) => {
                let wait = until.wait_time_from(self.clock.now());
                Err(Failure::TooMany { seconds: wait.as_secs().saturating_add(1) })
            }
            // Not more than a burst is ever asked for.
            Err(_) => Err(Failure::TooMany { seconds: 1 }),
        }
    }
}

/// The address that stands for whoever asks: the peer, or what a believed proxy says of it. Of the
/// addresses in `X-Forwarded-For` the last counts that is no believed proxy; those before it are
/// whatever the client wrote.
pub(super) fn asker(request: &HttpRequest, proxies: &[Network]) -> IpAddr {
    let believed = |address: IpAddr| proxies.iter().any(|p| p.holds(address));
    let Some(peer) = request.peer_addr().map(|a| a.ip()) else { return Ipv4Addr::UNSPECIFIED.into() };
    let mut found = peer;
    if believed(peer) {
        let lines: Vec<&str> = request.headers().get_all("x-forwarded-for").filter_map(|v| v.to_str().ok()).collect();
        for step in lines.iter().rev().flat_map(|line| line.rsplit(',')) {
            let Ok(address) = step.trim().parse() else { break };
            found = address;
            if !believed(address) {
                break;
            }
        }
    }
    client(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::test::TestRequest;

    #[test]
    fn a_client_is_the_last_address_that_is_no_believed_proxy() {
        let proxies = [Network::read("10.0.0.0/8").unwrap()];
        for (peer, said, who) in [
            ("192.0.2.1", &["198.51.100.1"][..], "192.0.2.1"),
            ("10.0.0.1", &[], "10.0.0.1"),
            ("10.0.0.1", &["198.51.100.1"], "198.51.100.1"),
            ("10.0.0.1", &["203.0.113.5, 198.51.100.1, 10.0.0.2"], "198.51.100.1"),
            ("10.0.0.1", &["203.0.113.5", "198.51.100.1"], "198.51.100.1"),
            ("10.0.0.1", &["the pier, 10.0.0.2"], "10.0.0.2"),
            ("10.0.0.1", &["2001:db8::1:2:3:4"], "2001:db8::"),
        ] {
            let mut request = TestRequest::default().peer_addr(format!("{peer}:5000").parse().unwrap());
            for line in said {
                request = request.append_header(("x-forwarded-for", *line));
            }
            assert_eq!(asker(&request.to_http_request(), &proxies), who.parse::<IpAddr>().unwrap(), "{peer} {said:?}");
        }
    }

    #[test]
    fn a_burst_is_taken_and_then_the_rate_counts_for_each_client_alone() {
        let rate = Rate::new(&Settings { rate: 1, burst: 5, ..Settings::default() }).unwrap();
        let (cox, bowhand) = (IpAddr::from([192, 0, 2, 1]), IpAddr::from([192, 0, 2, 2]));
        for _ in 0..5 {
            rate.take(cox, 1).unwrap();
        }
        assert!(matches!(rate.take(cox, 1), Err(Failure::TooMany { seconds: 1 | 2 })));
        rate.take(bowhand, 100).unwrap();
        assert!(matches!(rate.take(bowhand, 1), Err(Failure::TooMany { .. })));
        assert!(Rate::new(&Settings::default()).is_none());
    }
}
