//! Reading columns as the types of the domain. Whatever does not fit is reported, never guessed.

use sqlx::Row as _;
use sqlx::sqlite::SqliteRow;
use uuid::Uuid;

use crate::domain::ids::Moment;

use super::StorageError;

pub(super) trait Columns {
    fn uuid(&self, name: &'static str) -> Result<Uuid, StorageError>;
    fn uuid_or_none(&self, name: &'static str) -> Result<Option<Uuid>, StorageError>;
    fn text(&self, name: &'static str) -> Result<String, StorageError>;
    fn text_or_none(&self, name: &'static str) -> Result<Option<String>, StorageError>;
    fn moment(&self, name: &'static str) -> Result<Moment, StorageError>;
    fn signed_or_none(&self, name: &'static str) -> Result<Option<i64>, StorageError>;
    fn is_null(&self, name: &'static str) -> Result<bool, StorageError>;
    fn flag(&self, name: &'static str) -> Result<bool, StorageError>;
    fn bytes(&self, name: &'static str) -> Result<Vec<u8>, StorageError>;
    fn array<const N: usize>(&self, name: &'static str) -> Result<[u8; N], StorageError>;
    fn number<T: TryFrom<i64>>(&self, name: &'static str) -> Result<T, StorageError>;
}

impl Columns for SqliteRow {
    fn uuid(&self, name: &'static str) -> Result<Uuid, StorageError> {
        Ok(self.try_get(name)?)
    }

    fn uuid_or_none(&self, name: &'static str) -> Result<Option<Uuid>, StorageError> {
        Ok(self.try_get(name)?)
    }

    fn text(&self, name: &'static str) -> Result<String, StorageError> {
        Ok(self.try_get(name)?)
    }

    fn text_or_none(&self, name: &'static str) -> Result<Option<String>, StorageError> {
        Ok(self.try_get(name)?)
    }

    fn moment(&self, name: &'static str) -> Result<Moment, StorageError> {
        Ok(Moment(self.try_get(name)?))
    }

    fn signed_or_none(&self, name: &'static str) -> Result<Option<i64>, StorageError> {
        Ok(self.try_get(name)?)
    }

    fn is_null(&self, name: &'static str) -> Result<bool, StorageError> {
        Ok(self.try_get::<Option<i64>, _>(name)?.is_none())
    }

    fn flag(&self, name: &'static str) -> Result<bool, StorageError> {
        Ok(self.try_get::<i64, _>(name)? != 0)
    }

    fn bytes(&self, name: &'static str) -> Result<Vec<u8>, StorageError> {
        Ok(self.try_get(name)?)
    }

    fn array<const N: usize>(&self, name: &'static str) -> Result<[u8; N], StorageError> {
        let bytes: &[u8] = self.try_get(name)?;
        bytes.try_into().map_err(|error| StorageError::unreadable(name, error))
    }

    fn number<T: TryFrom<i64>>(&self, name: &'static str) -> Result<T, StorageError> {
        let number: i64 = self.try_get(name)?;
        T::try_from(number).map_err(|_| StorageError::unreadable(name, number))
    }
}

/// A count as the database takes it. Every count here has a named limit far below the largest.
pub(super) fn stored(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// A text to look for, as a pattern for `like … escape '\'`; empty stays empty.
pub(super) fn pattern(search: &str) -> String {
    let search = search.trim().to_lowercase();
    if search.is_empty() {
        return search;
    }
    let plain = search.replace('\\', "\\\\").replace('%', "\\%").replace('_', "\\_");
    format!("%{plain}%")
}
