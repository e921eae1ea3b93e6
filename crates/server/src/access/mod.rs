//! Who asks, and what they may do: nobody from outside without a session or a token.

mod codes;
mod forwarded;
mod gate;
mod pages;
mod places;
mod qr;
mod rates;
mod secret;
mod who;

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use axum::http::request::Parts;
use axum::http::{HeaderMap, header};
use store::access::{AccessBook, Device, DeviceOf, Person, Role};

use crate::clock::Clock;
use crate::listen::Peer;
use crate::problem::{ApiError, Refusal};
use rates::Rates;
use secret::Secret;

pub use codes::{DoorCode, device_token, door_code};
pub(crate) use codes::{NAME_BOUND, is_name};
use forwarded::asks_here;
pub(crate) use gate::{may, must_be_slow};
pub(crate) use pages::{pair_page, pair_script, pair_style, trust_certificate, trust_page};
pub use places::Reach;
pub(crate) use places::{ProxyOrigin, own_names, reached_at};
pub(crate) use qr::qr_svg;
pub use qr::qr_text;
pub(crate) use who::{Who, signed};

/// How long a session lasts, ms: thirty days (judgement: a season of runs, and a phone that was lost
/// is out by itself).
const SESSION_MS: i64 = 30 * 86_400_000;
/// From one note that somebody was here to the next, ms.
const SEEN_MS: i64 = 60_000;
/// Most whose last note is remembered: everybody of a full book.
const SEEN_MAX: usize = store::access::PEOPLE_MAX + store::access::DEVICES_MAX;

/// The door of the server.
#[derive(Debug)]
pub(crate) struct Access {
    book: AccessBook,
    clock: Clock,
    rates: Rates,
    /// Whether a request from this computer itself needs no pairing.
    trusts_here: bool,
    /// Whether the browser is to send the session over enciphered connections only, where a proxy
    /// has the cipher.
    proxy_enciphers: bool,
    /// The port, which tells this server's cookie from another's on the same computer.
    port: u16,
    seen: Mutex<HashMap<String, i64>>,
}

impl Access {
    pub(crate) fn new(
        book: AccessBook,
        clock: Clock,
        port: u16,
        proxy: Option<&ProxyOrigin>,
    ) -> Self {
        Self {
            book,
            clock,
            rates: Rates::default(),
            trusts_here: proxy.is_none(),
            proxy_enciphers: proxy.is_some_and(ProxyOrigin::enciphers),
            port,
            seen: Mutex::default(),
        }
    }

    /// The book of those who may come in.
    pub(crate) const fn book(&self) -> &AccessBook {
        &self.book
    }

    /// How often somebody may ask.
    pub(crate) const fn rates(&self) -> &Rates {
        &self.rates
    }

    fn now_ms(&self) -> i64 {
        self.clock.now_ms()
    }

    /// Now on the clock that nobody sets, ms.
    pub(crate) fn steady_ms(&self) -> i64 {
        self.clock.moment().steady_ms
    }

    /// Who sends this request. A token that is wrong is refused wherever it comes from.
    pub(crate) fn recognise(&self, parts: &Parts, peer: Peer) -> Result<Who, ApiError> {
        let mut tokens = parts.headers.get_all(header::AUTHORIZATION).iter();
        if let Some(token) = tokens.next() {
            let text = token.to_str().ok().filter(|_| tokens.next().is_none());
            let text = text.and_then(|text| text.strip_prefix("Bearer "));
            let device = text.and_then(|text| self.device(text.trim()).transpose()).transpose()?;
            return device.map(Who::Device).ok_or(ApiError::Door(Refusal::BadToken));
        }
        if self.trusts_here && peer.is_loopback() && asks_here(&parts.headers) {
            return Ok(Who::Here);
        }
        let name = self.cookie_name(peer);
        let session = cookie(&parts.headers, &name).and_then(|text| self.person(text).transpose());
        Ok(session.transpose()?.map_or(Who::Nobody, Who::Person))
    }

    fn person(&self, text: &str) -> Result<Option<Person>, ApiError> {
        let Some((id, secret)) = Secret::told(text) else { return Ok(None) };
        let found = self.book.person(id, self.now_ms())?;
        let person = found.filter(|(_, kept)| secret.is(kept)).map(|(person, _)| person);
        if let Some(person) = &person {
            self.note_seen(&person.id);
        }
        Ok(person)
    }

    fn device(&self, text: &str) -> Result<Option<Device>, ApiError> {
        let Some((id, secret)) = Secret::told(text) else { return Ok(None) };
        let found = self.book.device(id)?;
        let device = found.filter(|(_, kept)| secret.is(kept)).map(|(device, _)| device);
        if let Some(device) = &device {
            self.note_seen(&device.id);
        }
        Ok(device)
    }

    /// Whether somebody who was let in still is: they may be turned out, and sessions end.
    pub(crate) fn is_still_in(&self, who: &Who) -> bool {
        match who {
            Who::Here => true,
            Who::Person(person) => {
                self.book.person(&person.id, self.now_ms()).is_ok_and(|found| found.is_some())
            }
            Who::Device(_) | Who::Nobody => false,
        }
    }

    /// Notes that somebody was here, once a minute; a note that is lost is no loss.
    fn note_seen(&self, id: &str) {
        let now_ms = self.now_ms();
        let mut seen = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        if seen.get(id).is_some_and(|noted| (0..SEEN_MS).contains(&(now_ms - noted))) {
            return;
        }
        if seen.len() >= SEEN_MAX {
            seen.clear();
        }
        seen.insert(id.to_owned(), now_ms);
        drop(seen);
        if let Err(error) = self.book.note_seen(id, now_ms) {
            tracing::warn!("access: {error}");
        }
    }

    /// Lets a browser in for a code; gives what it is to keep as its cookie. The code is used up.
    pub(crate) fn pair(
        &self,
        code: &str,
        name: &str,
        peer: Peer,
    ) -> Result<(Person, String), ApiError> {
        let now_ms = self.now_ms();
        self.rates.must_guess_slowly(peer.remote.ip(), self.steady_ms())?;
        let taken = codes::digest_of(code).map(|digest| self.book.take_code(&digest, now_ms));
        let Some(role) = taken.transpose()?.flatten() else {
            self.rates.note_wrong_guess(peer.remote.ip(), self.steady_ms());
            return Err(ApiError::Door(Refusal::BadCode));
        };
        let secret = Secret::new()?;
        let person = Person {
            id: secret.id().to_owned(),
            role,
            name: name.to_owned(),
            made_ms: now_ms,
            expires_ms: now_ms.saturating_add(SESSION_MS),
            seen_ms: now_ms,
        };
        self.book.put_person(&person, &secret.digest(), now_ms)?;
        let cookie = self.cookie(&secret.told_as(), SESSION_MS / 1000, peer);
        Ok((person, cookie))
    }

    /// The cookie that makes a browser forget its session.
    pub(crate) fn forget(&self, peer: Peer) -> String {
        self.cookie("", 0, peer)
    }

    fn enciphered(&self, peer: Peer) -> bool {
        peer.tls || self.proxy_enciphers
    }

    /// Cookies know no ports: two servers of one computer keep theirs apart by name. The prefix
    /// binds it to this very name and to a cipher (RFC 6265bis, section 4.1.3).
    fn cookie_name(&self, peer: Peer) -> String {
        let prefix = if self.enciphered(peer) { "__Host-" } else { "" };
        format!("{prefix}middlecut-{}", self.port)
    }

    fn cookie(&self, value: &str, age_s: i64, peer: Peer) -> String {
        let secure = if self.enciphered(peer) { "; Secure" } else { "" };
        let name = self.cookie_name(peer);
        format!("{name}={value}; Path=/; Max-Age={age_s}; HttpOnly; SameSite=Strict{secure}")
    }

    /// A code that lets one browser in, kept until it is used or expires.
    pub(crate) fn door_code(&self, role: Role) -> Result<DoorCode, store::StoreError> {
        door_code(&self.book, role, self.now_ms())
    }

    /// A token for a device of that still or wash.
    pub(crate) fn device_token(
        &self,
        of: DeviceOf,
        name: &str,
    ) -> Result<(Device, String), store::StoreError> {
        device_token(&self.book, of, name, self.now_ms())
    }
}

/// The value of the only cookie of that name.
fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    let all = headers.get_all(header::COOKIE).iter();
    let all = all.filter_map(|value| value.to_str().ok()).flat_map(|text| text.split(';'));
    let mut ours = all.filter_map(|one| one.trim().split_once('=')).filter(|(key, _)| *key == name);
    let (_, value) = ours.next()?;
    ours.next().is_none().then_some(value)
}
