//! An address or a block of addresses, as proxies are named.
//!
//! Leans on the standard library. Leaves to others: what is done with one ([`crate::http`]).

use std::net::{IpAddr, Ipv6Addr};

/// A block of addresses: one with the number of leading bits that count (RFC 4632).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Network {
    address: IpAddr,
    bits: u8,
}

impl Network {
    /// Reads an address, alone or with a slash and its leading bits.
    ///
    /// # Errors
    /// What is wrong, in a sentence that names the value.
    pub fn read(text: &str) -> Result<Self, String> {
        let (address, bits) = match text.split_once('/') {
            Some((address, bits)) => (address, Some(bits)),
            None => (text, None),
        };
        let address: IpAddr =
            address.parse().map_err(|_| format!("{text:?} is no address such as 10.0.0.1 or 10.0.0.0/8"))?;
        let most = if address.is_ipv4() { 32 } else { 128 };
        let bits = match bits {
            None => most,
            Some(bits) => match bits.parse() {
                Ok(bits) if bits <= most => bits,
                _ => return Err(format!("{text:?} has no number of bits from 0 to {most} behind its slash")),
            },
        };
        Ok(Self { address, bits })
    }

    /// Whether an address lies in the block. An IPv4 address in the clothes of an IPv6 one counts
    /// as itself.
    #[must_use]
    pub fn holds(&self, other: IpAddr) -> bool {
        match (self.address.to_canonical(), other.to_canonical()) {
            (IpAddr::V4(a), IpAddr::V4(b)) => same_start(a.to_bits().into(), b.to_bits().into(), self.bits, 32),
            (IpAddr::V6(a), IpAddr::V6(b)) => same_start(a.to_bits(), b.to_bits(), self.bits, 128),
            _ => false,
        }
    }
}

fn same_start(a: u128, b: u128, bits: u8, width: u8) -> bool {
    let dropped = u32::from(width.saturating_sub(bits));
    // Nothing counts, so everything is the same.
    a.checked_shr(dropped).unwrap_or(0) == b.checked_shr(dropped).unwrap_or(0)
}

/// The address that stands for a client: of IPv6 the first 64 bits, since one client has them all
/// (RFC 6177).
#[must_use]
pub fn client(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(whole) => IpAddr::V6(Ipv6Addr::from_bits(whole.to_bits() >> 64 << 64)),
        four => four,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_hold_what_starts_alike() {
        for (block, inside, outside) in [
            ("10.0.0.0/8", "10.255.0.1", "11.0.0.1"),
            ("192.0.2.7", "192.0.2.7", "192.0.2.8"),
            ("192.0.2.0/25", "192.0.2.127", "192.0.2.128"),
            ("2001:db8::/32", "2001:db8:1::5", "2001:db9::"),
            ("0.0.0.0/0", "203.0.113.9", "::1"),
            ("127.0.0.1", "::ffff:127.0.0.1", "::1"),
        ] {
            let block = Network::read(block).unwrap();
            assert!(block.holds(inside.parse().unwrap()), "{block:?} {inside}");
            assert!(!block.holds(outside.parse().unwrap()), "{block:?} {outside}");
        }
    }

    #[test]
    fn one_client_has_all_of_its_sixty_four_bits() {
        let of = |text: &str| client(text.parse().unwrap());
        assert_eq!(of("2001:db8::1"), of("2001:db8::ffff:2"));
        assert_ne!(of("2001:db8::1"), of("2001:db8:0:1::1"));
        assert_ne!(of("192.0.2.1"), of("192.0.2.2"));
    }
}
