//! Who ordered the work.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{CustomerId, WorkshopId};

use super::columns::{Columns as _, pattern};
use super::error::one_row;
use super::{StorageError, Store};

/// Customers that one list shows; a search narrows it.
pub const CUSTOMERS_LISTED_MAX: u32 = 200;

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Customer {
    pub id: CustomerId,
    pub name: String,
    pub contact: String,
    pub address: String,
}

pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    customer: Customer,
) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(insert(db, workshop, customer))).await
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    customer: Customer,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into customer (workshop_id, id, name, contact, address, search) \
         values ($1, $2, $3, $4, $5, $6)",
    )
    .bind(workshop.0)
    .bind(customer.id.0)
    .bind(&customer.name)
    .bind(customer.contact)
    .bind(customer.address)
    .bind(customer.name.to_lowercase())
    .execute(db)
    .await?;
    Ok(())
}

pub async fn change(
    store: &Store,
    workshop: WorkshopId,
    customer: Customer,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update customer set name = $3, contact = $4, address = $5, search = $6 \
                     where workshop_id = $1 and id = $2",
                )
                .bind(workshop.0)
                .bind(customer.id.0)
                .bind(&customer.name)
                .bind(customer.contact)
                .bind(customer.address)
                .bind(customer.name.to_lowercase())
                .execute(db)
                .await?;
                one_row(&changed)
            })
        })
        .await
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    id: CustomerId,
) -> Result<Option<Customer>, StorageError> {
    let row = sqlx::query("select * from customer where workshop_id = $1 and id = $2")
        .bind(workshop.0)
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| customer(&row)).transpose()
}

/// By name, those whose name contains `search`; empty finds all.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    search: &str,
) -> Result<Vec<Customer>, StorageError> {
    let rows = sqlx::query(
        "select * from customer where workshop_id = $1 \
         and ($2 = '' or search like $2 escape '\\') order by name, id limit $3",
    )
    .bind(workshop.0)
    .bind(pattern(search))
    .bind(CUSTOMERS_LISTED_MAX)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(customer).collect()
}

fn customer(row: &SqliteRow) -> Result<Customer, StorageError> {
    Ok(Customer {
        id: CustomerId(row.uuid("id")?),
        name: row.text("name")?,
        contact: row.text("contact")?,
        address: row.text("address")?,
    })
}
