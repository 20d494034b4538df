//! Where a request comes from: its device, and the address that attempts are counted by.
//!
//! Behind a proxy every request comes from the proxy's address and shares its count, unless the
//! settings name the proxy as trusted. From anybody else the header that tells more is not read:
//! whoever guesses passwords would write a fresh address into it each time.

use std::net::{IpAddr, SocketAddr};

use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::request::Parts;
use axum::http::{HeaderMap, header};

use crate::domain::ids::WorkshopId;
use crate::storage::devices;
use crate::storage::sign_ins::{Attempt, on_device};
use crate::web::app::App;
use crate::web::error::{WebError, accepts_json};
use crate::web::session::{self, KnownDevice};

/// What a proxy writes down of those it passes on; each adds the caller it saw at the end.
const FORWARDED_FOR: &str = "x-forwarded-for";

/// Where a request comes from.
pub(in crate::web) struct Caller {
    pub(super) address: String,
    headers: HeaderMap,
}

impl Caller {
    pub(in crate::web) async fn device(
        &self,
        app: &App,
        workshop: WorkshopId,
    ) -> Result<Option<KnownDevice>, WebError> {
        session::known_device(app, workshop, &self.headers).await
    }

    /// The phone that people share, if it is one.
    pub(in crate::web) async fn shared_phone(
        &self,
        app: &App,
        workshop: WorkshopId,
    ) -> Result<Option<KnownDevice>, WebError> {
        session::shared_phone(app, workshop, &self.headers).await
    }

    /// Whether a script asks and wants no page.
    pub(in crate::web) fn wants_json(&self) -> bool {
        accepts_json(&self.headers)
    }

    /// Attempts on a device that has been signed in before are counted by themselves: a stranger
    /// who tries names from elsewhere cannot lock the workshop's own phones out.
    pub(super) async fn attempt(
        &self,
        app: &App,
        workshop: WorkshopId,
        name: &str,
    ) -> Result<Attempt, WebError> {
        let known = match self.device(app, workshop).await? {
            Some(device) => devices::load(app.store(), workshop, device.id).await?,
            None => None,
        };
        let sign_in = known.map_or_else(|| name.to_owned(), |device| on_device(name, device.id));
        Ok(Attempt { workshop, sign_in, address: self.address.clone(), at: app.now() })
    }

    /// What the device calls itself, in the words of people.
    pub(super) fn device_label(&self) -> &'static str {
        const LABELS: [(&str, &str); 6] = [
            ("iPhone", "iPhone"),
            ("iPad", "iPad"),
            ("Android", "Android phone or tablet"),
            ("Windows", "Windows computer"),
            ("Macintosh", "Apple computer or tablet"),
            ("Linux", "Linux computer"),
        ];
        let agent = self.headers.get(header::USER_AGENT).and_then(|agent| agent.to_str().ok());
        let known = LABELS.iter().find(|(mark, _)| agent.is_some_and(|agent| agent.contains(mark)));
        known.map_or("Browser", |(_, label)| label)
    }
}

impl FromRequestParts<App> for Caller {
    type Rejection = std::convert::Infallible;

    /// All share one count should the server not know their addresses.
    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Self::Rejection> {
        let socket = parts.extensions.get::<ConnectInfo<SocketAddr>>().map(|info| info.0.ip());
        let address = socket.map(|socket| farthest_known(socket, &parts.headers, app.proxies()));
        let address = address.map_or_else(|| "unknown".to_owned(), |address| address.to_string());
        Ok(Self { address, headers: parts.headers.clone() })
    }
}

/// The last address on the way here that is not one of the workshop's own proxies. What stands
/// before it in the header was written by somebody who is not trusted, so it is not read.
fn farthest_known(socket: IpAddr, headers: &HeaderMap, proxies: &[IpAddr]) -> IpAddr {
    let mut known = socket.to_canonical();
    let lines = headers.get_all(FORWARDED_FOR).iter().map(|line| line.to_str().unwrap_or_default());
    let hops: Vec<&str> = lines.flat_map(|line| line.split(',')).collect();
    for hop in hops.into_iter().rev() {
        if !proxies.contains(&known) {
            return known;
        }
        let Some(address) = address_of(hop.trim()) else { return known };
        known = address;
    }
    known
}

/// `203.0.113.9`, `203.0.113.9:4711`, `2001:db8::9` or `[2001:db8::9]:4711`.
fn address_of(hop: &str) -> Option<IpAddr> {
    let with_port = || hop.parse::<SocketAddr>().ok().map(|socket| socket.ip());
    let bare = hop.trim_start_matches('[').trim_end_matches(']');
    let address = bare.parse::<IpAddr>().ok().or_else(with_port)?;
    Some(address.to_canonical())
}
