//! Names of things that last: 128-bit ids made where the thing is made, and moments in time.

use std::fmt;

use serde::{Deserialize, Serialize};
use time::{Date, OffsetDateTime, Time};
use uuid::Uuid;

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident)*) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl std::str::FromStr for $name {
            type Err = uuid::Error;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                text.parse().map(Self)
            }
        }
    )* };
}

id! {
    /// The business that answers for the work.
    WorkshopId
    /// Somebody who works there.
    PersonId
    /// A phone, tablet or desktop browser that entries are made on.
    DeviceId
    /// One kit edition fitted to one vehicle for one customer.
    JobId
    /// What a person recorded, named by the device that recorded it.
    EntryId
    /// One edition of a kit as it stands in this workshop.
    KitId
    /// A measuring instrument or torque tool.
    InstrumentId
    /// One calibration of an instrument.
    CalibrationId
    /// An instrument found to have read wrongly.
    RecallId
    /// Who ordered the work.
    CustomerId
    /// A link that shows a customer their handover.
    LinkId
    /// A link by which somebody becomes one of the workshop's people.
    InvitationId
}

/// A moment, in milliseconds since 1970-01-01 UTC: sorts and stores alike on every database.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Moment(pub i64);

impl Moment {
    /// The calendar form, UTC. Years outside 1..9999 do not exist on a job sheet and read as 1970.
    pub fn utc(self) -> OffsetDateTime {
        OffsetDateTime::from_unix_timestamp_nanos(i128::from(self.0) * 1_000_000)
            .unwrap_or(OffsetDateTime::UNIX_EPOCH)
    }

    /// `2026-11-25`
    pub fn date(self) -> String {
        let at = self.utc();
        format!("{:04}-{:02}-{:02}", at.year(), u8::from(at.month()), at.day())
    }

    /// `2026-11-25 14:03` (UTC)
    pub fn date_and_minute(self) -> String {
        let at = self.utc();
        format!("{} {:02}:{:02}", self.date(), at.hour(), at.minute())
    }

    /// RFC 3339 with milliseconds, UTC: `2026-11-25T14:03:07.120Z`.
    pub fn rfc3339(self) -> String {
        let at = self.utc();
        format!(
            "{}T{:02}:{:02}:{:02}.{:03}Z",
            self.date(),
            at.hour(),
            at.minute(),
            at.second(),
            at.millisecond()
        )
    }

    /// Reads an RFC 3339 time with any offset.
    pub fn parse(text: &str) -> Option<Self> {
        let at =
            OffsetDateTime::parse(text, &time::format_description::well_known::Rfc3339).ok()?;
        i64::try_from(at.unix_timestamp_nanos() / 1_000_000).ok().map(Self)
    }

    /// The first moment of a day, UTC.
    pub fn start_of(day: Date) -> Self {
        Self(OffsetDateTime::new_utc(day, Time::MIDNIGHT).unix_timestamp() * 1000)
    }

    #[must_use]
    pub fn plus_days(self, days: i64) -> Self {
        Self(self.0 + days * 86_400_000)
    }
}
