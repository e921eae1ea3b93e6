//! The listener: people who say nothing, or half of something, keep nobody else out.

use std::io::Write;
use std::net::TcpStream;

use crate::common::start;

#[test]
fn half_open_connections_are_shed_and_do_not_keep_a_stopped_server() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let half = |bytes: &[u8]| {
        let mut stream = TcpStream::connect(server.address).unwrap();
        stream.write_all(bytes).unwrap();
        stream
    };
    let heads: Vec<TcpStream> = (0..300).map(|_| half(b"GET /api/health HT")).collect();
    assert_eq!(server.get("/api/health").status, 200, "a place is made");
    let address = server.address;
    let body = format!(
        "POST /api/bench/gauge HTTP/1.1\r\nHost: {address}\r\nContent-Type: application/json\r\n\
         Content-Length: 100\r\n\r\n{{\"reading\""
    );
    let bodies: Vec<TcpStream> = (0..5).map(|_| half(body.as_bytes())).collect();
    assert_eq!(server.get("/api/health").status, 200);
    // They still hang on: the server stops all the same, and lets go of the record.
    server.stop();
    let again = start(folder.path());
    assert_eq!(again.get("/api/health").status, 200);
    drop((heads, bodies));
}
