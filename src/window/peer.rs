//! Whose a connection is, where the system tells: on Linux another user of the machine is let in by
//! no token.

use std::fs;
use std::net::{Ipv4Addr, SocketAddr};

/// Where Linux lists connections with their owners (proc(5)): those of either family, since a
/// socket of IPv6 reaches IPv4 too.
const TABLES: [&str; 2] = ["/proc/net/tcp", "/proc/net/tcp6"];

/// Whether a connection from `peer` to `own` is known to come from another user.
pub(super) fn is_strange(peer: SocketAddr, own: SocketAddr) -> bool {
    let tables = TABLES.map(|table| fs::read_to_string(table).unwrap_or_default());
    differs(&tables.concat(), peer, own)
}

/// The owner of all there is, whom no token keeps out; what passes connections on to a Linux inside
/// another system belongs to it.
const ROOT: &str = "0";

/// Whether the two ends of a connection in a table have two owners. Where an end is not there, the
/// token decides.
fn differs(table: &str, peer: SocketAddr, own: SocketAddr) -> bool {
    let (SocketAddr::V4(peer), SocketAddr::V4(own)) = (peer, own) else { return false };
    let written =
        |ip: Ipv4Addr, port: u16| format!("{:08X}:{port:04X}", u32::from_ne_bytes(ip.octets()));
    let [peer, own] = [written(*peer.ip(), peer.port()), written(*own.ip(), own.port())];
    let owner = |here: &str, there: &str| {
        table.lines().find_map(|line| {
            let fields: Vec<&str> = line.split_whitespace().collect();
            let is_it = fields.get(1)?.ends_with(here) && fields.get(2)?.ends_with(there);
            if is_it { fields.get(7).map(|owner| (*owner).to_owned()) } else { None }
        })
    };
    let theirs = owner(&peer, &own).filter(|theirs| theirs != ROOT);
    theirs.zip(owner(&own, &peer)).is_some_and(|(theirs, ours)| theirs != ours)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::{TcpListener, TcpStream};

    const HEAD: &str =
        "  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid\n";

    fn line(here: &str, there: &str, owner: u32) -> String {
        format!(
            "   0: {here} {there} 01 00000000:00000000 00:00000000 00000000  {owner}  0 4711 1\n"
        )
    }

    #[test]
    fn another_user_is_told_from_our_own() {
        let [peer, own]: [SocketAddr; 2] =
            ["127.0.0.1:40000".parse().unwrap(), "127.0.0.1:4000".parse().unwrap()];
        let lo = format!("{:08X}", u32::from_ne_bytes([127, 0, 0, 1]));
        let (there, here) = (format!("{lo}:9C40"), format!("{lo}:0FA0"));
        let sixth = format!("0000000000000000FFFF0000{there}");
        let ours = line(&here, &there, 1000);
        let with = |more: &str| differs(&format!("{HEAD}{ours}{more}"), peer, own);
        assert!(!with(&line(&there, &here, 1000)));
        assert!(with(&line(&there, &here, 1001)));
        assert!(with(&line(&sixth, &format!("0000000000000000FFFF0000{here}"), 1001)));
        assert!(!with(&line(&sixth, &format!("0000000000000000FFFF0000{here}"), 1000)));
        assert!(!with(&line(&there, &here, 0)));
        assert!(!with("") && !differs("", peer, own), "where nothing is told, the token decides");
    }

    #[test]
    fn our_own_connections_are_let_in() {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let client = TcpStream::connect(listener.local_addr().unwrap()).unwrap();
        let (server, peer) = listener.accept().unwrap();
        assert!(!is_strange(peer, server.local_addr().unwrap()));
        drop(client);
    }
}
