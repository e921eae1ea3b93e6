//! The house's own certificate authority: its key and certificate in the data folder, a certificate
//! for the server at each start.

use std::fs;
use std::io::Write;
use std::net::IpAddr;
use std::path::{Path, PathBuf};

use rcgen::{
    BasicConstraints, CertificateParams, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};

use super::trust::{DOMAINS, TlsError, Trust};

const KEY_FILE: &str = "authority.key.pem";
const CERTIFICATE_FILE: &str = "authority.crt.pem";

/// How long the authority is believed, years (judgement: longer than a phone lasts).
const AUTHORITY_YEARS: i64 = 10;
/// How long a certificate is believed, days: phones take at most 398 of a public authority, 825 of
/// one of the house; from memory.
const CERTIFICATE_DAYS: i64 = 397;
/// How far a phone's clock may be behind this one's, days; judgement.
const CLOCK_BEHIND_DAYS: i64 = 2;
const DAY_MS: i64 = 86_400_000;

/// The authority.
pub(super) struct Authority {
    key: KeyPair,
    certificate: CertificateDer<'static>,
}

fn failed(error: impl std::fmt::Display) -> TlsError {
    TlsError::Certificate(error.to_string())
}

impl Authority {
    /// The authority in that folder; made where there is none.
    pub(super) fn of(folder: &Path, now_ms: i64) -> Result<Self, TlsError> {
        let (key_file, certificate_file) = (folder.join(KEY_FILE), folder.join(CERTIFICATE_FILE));
        if !key_file.exists() {
            let at = |source| TlsError::File { file: folder.display().to_string(), source };
            fs::create_dir_all(folder).map_err(at)?;
            let key = KeyPair::generate().map_err(failed)?;
            let certificate = params(&key, now_ms)?.self_signed(&key).map_err(failed)?;
            write(&certificate_file, &certificate.pem(), 0o644)?;
            // The key last: with it both are there.
            write(&key_file, &key.serialize_pem(), 0o600)?;
        }
        let key = KeyPair::from_pem(&read(&key_file)?).map_err(failed)?;
        let pem = read(&certificate_file)?;
        let certificate = CertificateDer::from_pem_slice(pem.as_bytes()).map_err(failed)?;
        Ok(Self { key, certificate })
    }

    /// A certificate for those addresses and names, with its chain and key.
    pub(super) fn certify(
        &self,
        addresses: &[IpAddr],
        names: &[String],
        now_ms: i64,
    ) -> Result<(Vec<CertificateDer<'static>>, PrivateKeyDer<'static>), TlsError> {
        let mut own = CertificateParams::default();
        for address in addresses {
            own.subject_alt_names.push(SanType::IpAddress(*address));
        }
        for name in names {
            let speaks_for = |domain: &&str| {
                name == *domain || name.strip_suffix(*domain).is_some_and(|own| own.ends_with('.'))
            };
            if !DOMAINS.iter().any(speaks_for) {
                return Err(TlsError::Name { name: name.clone() });
            }
            let dns = name.as_str().try_into().map_err(failed)?;
            own.subject_alt_names.push(SanType::DnsName(dns));
        }
        own.distinguished_name = named("Middlecut");
        own.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        own.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        own.use_authority_key_identifier_extension = true;
        own.not_before = day(now_ms - CLOCK_BEHIND_DAYS * DAY_MS)?;
        own.not_after = day(now_ms + CERTIFICATE_DAYS * DAY_MS)?;
        let key = KeyPair::generate().map_err(failed)?;
        let of_house = params(&self.key, now_ms)?;
        let issuer = Issuer::from_params(&of_house, &self.key);
        let certificate = own.signed_by(&key, &issuer).map_err(failed)?;
        let chain = vec![certificate.der().clone(), self.certificate.clone()];
        Ok((chain, PrivatePkcs8KeyDer::from(key.serialize_der()).into()))
    }

    /// What a browser is asked to trust.
    pub(super) fn trust(&self) -> Trust {
        let der = self.certificate.to_vec();
        let digest = ring::digest::digest(&ring::digest::SHA256, &der);
        let pairs: Vec<String> = digest.as_ref().iter().map(|byte| format!("{byte:02X}")).collect();
        Trust { der, fingerprint: pairs.join(":"), name: name_of(&self.key) }
    }
}

/// What devices call the authority: two houses are told apart by it.
fn name_of(key: &KeyPair) -> String {
    let digest = blake3::hash(key.public_key_raw());
    format!("Middlecut house {}", &digest.to_hex()[..8])
}

fn named(name: &str) -> DistinguishedName {
    let mut named = DistinguishedName::new();
    named.push(DnType::CommonName, name);
    named
}

/// What the authority's certificate says; what a certificate by it needs of this follows from the key.
fn params(key: &KeyPair, now_ms: i64) -> Result<CertificateParams, TlsError> {
    let mut params = CertificateParams::default();
    params.distinguished_name = named(&name_of(key));
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let domains = DOMAINS.iter().map(|domain| GeneralSubtree::DnsName((*domain).to_owned()));
    let (permitted_subtrees, excluded_subtrees) = (domains.collect(), Vec::new());
    params.name_constraints = Some(NameConstraints { permitted_subtrees, excluded_subtrees });
    params.not_before = day(now_ms - CLOCK_BEHIND_DAYS * DAY_MS)?;
    params.not_after = day(now_ms + AUTHORITY_YEARS * 365 * DAY_MS)?;
    Ok(params)
}

/// The beginning of that day.
fn day(at_ms: i64) -> Result<time::OffsetDateTime, TlsError> {
    time::OffsetDateTime::from_unix_timestamp(at_ms.div_euclid(DAY_MS) * DAY_MS / 1000)
        .map_err(failed)
}

fn read(path: &Path) -> Result<String, TlsError> {
    fs::read_to_string(path)
        .map_err(|source| TlsError::File { file: path.display().to_string(), source })
}

/// Writes a file whole, beside and then in its place.
fn write(path: &Path, text: &str, mode: u32) -> Result<(), TlsError> {
    let beside = PathBuf::from(format!("{}.new", path.display()));
    let mut options = fs::File::options();
    options.create(true).truncate(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, mode);
    let written = options.open(&beside).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    written
        .and_then(|()| fs::rename(&beside, path))
        .map_err(|source| TlsError::File { file: path.display().to_string(), source })
}
