//! Enciphered connections: trusted by the house's own authority, and by nothing else.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use rustls::crypto::ring::default_provider;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use server::{Clock, Reach};

use crate::common::{NOON_MS, Running, start_reached};

fn enciphered(folder: &Path) -> Running {
    // Certificates are believed by the clock of whoever looks at them: it must be that of this test.
    let reach =
        Reach { tls: true, proxy: Some("https://still.lan".to_owned()), ..Reach::default() };
    start_reached(folder, Clock::by_hand(now_ms()), false, reach)
}

fn now_ms() -> i64 {
    Clock::default().now_ms().max(NOON_MS / 2)
}

/// Asks in cipher, by that name, trusting the authority in the folder.
fn ask(server: &Running, folder: &Path, name: &str, request: &str) -> std::io::Result<String> {
    let pem = std::fs::read(folder.join("tls/authority.crt.pem"))?;
    let mut roots = RootCertStore::empty();
    roots.add(CertificateDer::from_pem_slice(&pem).expect("a certificate")).expect("an authority");
    let config = ClientConfig::builder_with_provider(Arc::new(default_provider()))
        .with_safe_default_protocol_versions()
        .expect("versions")
        .with_root_certificates(roots)
        .with_no_client_auth();
    let name = ServerName::try_from(name.to_owned()).expect("a name");
    let connection = ClientConnection::new(Arc::new(config), name).expect("a client");
    let stream = TcpStream::connect(server.address)?;
    stream.set_read_timeout(Some(Duration::from_secs(30)))?;
    let mut stream = StreamOwned::new(connection, stream);
    stream.write_all(request.as_bytes())?;
    let mut answer = Vec::new();
    let read = stream.read_to_end(&mut answer);
    if answer.is_empty() {
        read?;
    }
    Ok(String::from_utf8_lossy(&answer).into_owned())
}

fn get(path: &str, host: &str) -> String {
    format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")
}

#[test]
fn the_authority_of_the_house_is_trusted_for_local_names_and_outlives_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let server = enciphered(folder.path());
    let port = server.address.port();
    for name in ["localhost", "127.0.0.1"] {
        let answer = ask(&server, folder.path(), name, &get("/api/health", name)).unwrap();
        assert!(answer.starts_with("HTTP/1.1 200"), "{name}: {answer}");
    }
    let wrong = ask(&server, folder.path(), "evil.local", &get("/api/health", "localhost"));
    assert!(wrong.is_err(), "{wrong:?}");
    // The session goes over enciphered connections only.
    let body = format!("{{\"code\":\"{}\"}}", server.listening.codes[0].code);
    let told = format!(
        "POST /api/access/pair HTTP/1.1\r\nHost: localhost:{port}\r\nOrigin: https://localhost:{port}\r\n\
         Content-Type: application/json\r\nConnection: close\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    let answer = ask(&server, folder.path(), "localhost", &told).unwrap();
    let cookie = answer.lines().find(|line| line.to_lowercase().starts_with("set-cookie"));
    let cookie = cookie.unwrap_or_else(|| panic!("{answer}"));
    assert!(cookie.contains("__Host-middlecut") && cookie.contains("; Secure"), "{cookie}");
    // The certificate can be had, and is the one that is trusted.
    let page = server.ask_with("GET", "/trust", "", b"");
    let fingerprint = &server.listening.authority.as_ref().unwrap().1;
    let shown = String::from_utf8_lossy(&page.body).replace('\u{200b}', "");
    assert!(page.status == 200 && shown.contains(fingerprint.as_str()), "{page:?}");
    let given = server.get("/trust/authority.crt").body;
    let pem = std::fs::read(folder.path().join("tls/authority.crt.pem")).unwrap();
    assert_eq!(given, CertificateDer::from_pem_slice(&pem).unwrap().to_vec());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let key = std::fs::metadata(folder.path().join("tls/authority.key.pem")).unwrap();
        assert_eq!(key.permissions().mode() & 0o777, 0o600);
    }
    server.stop();
    let server = enciphered(folder.path());
    assert_eq!(std::fs::read(folder.path().join("tls/authority.crt.pem")).unwrap(), pem);
    let answer = ask(&server, folder.path(), "localhost", &get("/api/health", "localhost"));
    assert!(answer.unwrap().starts_with("HTTP/1.1 200"));
}
