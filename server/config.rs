//! Settings: each by an option or by the environment. The only reader of the environment.

mod https;

use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;

use clap::Args;

pub use https::{Https, HttpsFault, HttpsSettings};

/// What every variable of this program begins with.
const PREFIX: &str = "FUSEWRIGHT_";
/// The variables there are. A misspelt one would be passed over in silence, so it is refused.
const KNOWN: [&str; 13] = [
    "FUSEWRIGHT_ACME_CONTACT",
    "FUSEWRIGHT_ACME_DIRECTORY",
    "FUSEWRIGHT_ACME_ROOT",
    "FUSEWRIGHT_DATA",
    "FUSEWRIGHT_KEY_FOLDER",
    "FUSEWRIGHT_LISTEN",
    "FUSEWRIGHT_LOG",
    "FUSEWRIGHT_ORIGIN",
    "FUSEWRIGHT_REDIRECT_FROM",
    "FUSEWRIGHT_TIME_STAMP",
    "FUSEWRIGHT_TLS_CERTIFICATE",
    "FUSEWRIGHT_TLS_KEY",
    "FUSEWRIGHT_TRUSTED_PROXY",
];

/// Where the server keeps what it is given.
#[derive(Debug, Clone, Args)]
pub struct DataFolder {
    /// Folder of the database, the photos and the certificates
    #[arg(
        long,
        env = "FUSEWRIGHT_DATA",
        hide_env_values = true,
        value_name = "DIR",
        default_value = "data"
    )]
    pub data: PathBuf,
}

/// Where secrets are kept apart from the data.
#[derive(Debug, Clone, Args)]
pub struct KeyFolder {
    /// Folder of the seal's key and of what PINs are mixed with; `keys` below the data folder if it is not given
    #[arg(long, env = "FUSEWRIGHT_KEY_FOLDER", hide_env_values = true, value_name = "DIR")]
    key_folder: Option<PathBuf>,
}

impl KeyFolder {
    pub fn path(&self, folder: &DataFolder) -> PathBuf {
        self.key_folder.clone().unwrap_or_else(|| folder.data.join("keys"))
    }
}

/// Everything the server can be told.
#[derive(Debug, Clone, Args)]
pub struct Settings {
    #[command(flatten)]
    pub folder: DataFolder,
    /// Address and port to answer on
    #[arg(
        long,
        env = "FUSEWRIGHT_LISTEN",
        hide_env_values = true,
        value_name = "ADDRESS:PORT",
        default_value = "127.0.0.1:8080"
    )]
    pub listen: SocketAddr,
    /// Address that people type, for example `https://jobs.example`; needed unless only this
    /// machine is to reach the server
    #[arg(long, env = "FUSEWRIGHT_ORIGIN", hide_env_values = true, value_name = "URL")]
    pub origin: Option<String>,
    #[command(flatten)]
    pub https: HttpsSettings,
    /// Addresses of the proxies in front, separated by commas: what they write into
    /// `X-Forwarded-For` is believed, and the last address in it that is none of them is the
    /// caller's. Without it everybody behind a proxy has one address, and wrong passwords of one
    /// count against all
    #[arg(
        long,
        env = "FUSEWRIGHT_TRUSTED_PROXY",
        hide_env_values = true,
        value_name = "IP",
        value_delimiter = ','
    )]
    pub trusted_proxy: Vec<IpAddr>,
    #[command(flatten)]
    pub keys: KeyFolder,
    /// Address of an authority (RFC 3161) that puts a time stamp to every certificate, such as
    /// `http://stamps.example/tsa`. Where none can be had, no certificate is made until one can
    #[arg(long, env = "FUSEWRIGHT_TIME_STAMP", hide_env_values = true, value_name = "URL")]
    pub time_stamp: Option<String>,
    /// What the log tells, for example `warn` or `info,fusewright=debug`
    #[arg(
        long,
        env = "FUSEWRIGHT_LOG",
        hide_env_values = true,
        value_name = "FILTER",
        default_value = "info"
    )]
    pub log: String,
}

impl Settings {
    /// Where the key of the seal lies.
    pub fn key_folder(&self) -> PathBuf {
        self.keys.path(&self.folder)
    }

    /// How people reach a server on this address, or what does not go together.
    pub fn reach(&self, listen: SocketAddr) -> Result<Reach, SettingFault> {
        let https = self.https.source()?;
        if https.is_some() && self.origin.is_none() {
            return Err(HttpsFault::NoOrigin.into());
        }
        let origin = origin(listen, self.origin.as_deref())?;
        self.https.check(https.as_ref(), &origin)?;
        Ok(Reach { origin, https })
    }
}

/// How people reach the server.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reach {
    /// What they type.
    pub origin: String,
    /// Where the certificate comes from, if the server serves HTTPS by itself.
    pub https: Option<Https>,
}

/// What cannot be served with, as a sentence.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SettingFault {
    #[error(
        "The environment has {0}, which is no setting of this program. Take it away, or correct \
         its name: `fusewright --help` lists all of them."
    )]
    UnknownKey(String),
    #[error(
        "Plain http on {0} would send passwords readable over the network. Name the address that \
         people type with --origin https://… and serve it with --tls-certificate, --acme-contact or a \
         proxy with HTTPS in front, or listen on 127.0.0.1."
    )]
    PlainHttp(SocketAddr),
    #[error(
        "The origin {0} is plain http beyond this machine, so passwords would be readable on the \
         way. Name an address with https."
    )]
    PlainOrigin(String),
    #[error(
        "The origin {0} is not an address like https://jobs.example: scheme and host, a port if \
         there is one, and nothing behind it."
    )]
    Origin(String),
    #[error(transparent)]
    Https(#[from] HttpsFault),
}

/// Refuses variables that look like settings and are none.
pub fn check_environment() -> Result<(), SettingFault> {
    let names = std::env::vars_os().map(|(name, _)| name.to_string_lossy().into_owned());
    let mut unknown: Vec<String> =
        names.filter(|n| n.starts_with(PREFIX) && !KNOWN.contains(&n.as_str())).collect();
    unknown.sort();
    unknown.into_iter().next().map_or(Ok(()), |name| Err(SettingFault::UnknownKey(name)))
}

/// The folder for what need not last.
pub fn scratch_folder() -> PathBuf {
    std::env::temp_dir()
}

/// The address that people type, as browsers write it, or why it will not do.
pub fn origin(listen: SocketAddr, given: Option<&str>) -> Result<String, SettingFault> {
    let Some(given) = given else {
        let local = listen.ip().is_loopback();
        return local.then(|| format!("http://{listen}")).ok_or(SettingFault::PlainHttp(listen));
    };
    let bad = || SettingFault::Origin(given.to_owned());
    let text = given.trim().trim_end_matches('/').to_ascii_lowercase();
    let (scheme, place) = text.split_once("://").ok_or_else(bad)?;
    let (host, port) = host_and_port(place).ok_or_else(bad)?;
    let standard = match scheme {
        "https" => 443,
        "http" if !is_this_machine(host) => {
            return Err(SettingFault::PlainOrigin(given.to_owned()));
        }
        "http" if !listen.ip().is_loopback() => return Err(SettingFault::PlainHttp(listen)),
        "http" => 80,
        _ => return Err(bad()),
    };
    // Browsers leave the standard port out of what they send.
    Ok(match port.filter(|port| *port != standard) {
        Some(port) => format!("{scheme}://{host}:{port}"),
        None => format!("{scheme}://{host}"),
    })
}

fn host_and_port(place: &str) -> Option<(&str, Option<u16>)> {
    let (host, port) = match place.rsplit_once(':') {
        // The colons of a bare [::1] are no port.
        Some((host, port)) if !port.ends_with(']') => (host, Some(port.parse().ok()?)),
        _ => (place, None),
    };
    let named =
        |host: &str| host.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'-'));
    let sound = match host.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
        Some(inner) => inner.parse::<std::net::Ipv6Addr>().is_ok(),
        None => !host.is_empty() && named(host),
    };
    sound.then_some((host, port))
}

/// The host of an origin, without the brackets of an IPv6 address.
pub fn host(origin: &str) -> &str {
    let place = origin.split_once("://").map_or(origin, |(_, place)| place);
    bare(host_and_port(place).map_or(place, |(host, _)| host))
}

fn bare(host: &str) -> &str {
    host.trim_start_matches('[').trim_end_matches(']')
}

fn is_this_machine(host: &str) -> bool {
    let bare = bare(host);
    bare == "localhost" || bare.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback())
}
