//! How soon the manager's pages come in a workshop that is large: desk, search, filters, review, trends.
//!
//! `cargo bench --bench desk -- 1000000`: so many invented jobs beside those of the demo, 100 000 if no number
//! is given. Each stands in the index of words, with a note, six measured results and its course. A real job
//! has some sixty entries more, which none of these pages reads and which would take a hundred gigabytes.
//! Pages are asked for one after the other over HTTP, and read to their end.

#![expect(clippy::print_stdout, reason = "a benchmark prints")]

use std::path::Path;
use std::time::{Duration, Instant};

use reqwest::Client;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions as _};

mod running;

use running::{make_demo, must, start};

const JOBS: u64 = 100_000;
/// Jobs of one transaction.
const BATCH: u64 = 20_000;
const LISTEN: &str = "127.0.0.1:8479";
const SIGN_IN: [(&str, &str); 2] = [("name", "rosalind"), ("password", "four quiet herons wade")];
const LARGE: &str = include_str!("large_workshop.sql");
/// What the statements there choose from.
const SOURCES: &str = "with recursive n (i) as (select :from union all select i + 1 from n where i + 1 < :until), \
     checks (c) as (values (0), (1), (2), (3), (4), (5)), shop (w) as (select id from workshop), \
     hands (p, hands_at, hands_all) as (select id, row_number() over (order by sign_in) - 1, count(*) over () \
         from person where role = 'technician'), \
     kits (k, code, kits_at, kits_all) as (select id, code, row_number() over (order by code) - 1, count(*) over () from kit), \
     tablet (device) as (select id from device limit 1), gauge (meter) as (select id from instrument limit 1) ";

/// Name, how often it is asked for, and its address each time.
type Page<'a> = (&'a str, u64, &'a dyn Fn(u64) -> String);

fn main() {
    let asked = std::env::args().skip(1).find_map(|word| word.parse().ok());
    let jobs = asked.unwrap_or(JOBS);
    // Nothing is encrypted here; the client wants one all the same.
    let _other = rustls::crypto::ring::default_provider().install_default();
    let folder = must(tempfile::tempdir());
    make_demo(folder.path());
    must(tokio::runtime::Runtime::new()).block_on(async {
        let began = Instant::now();
        enlarge(folder.path(), jobs).await;
        let size = must(std::fs::metadata(folder.path().join("fusewright.db"))).len();
        let seconds = began.elapsed().as_secs();
        println!("{jobs} jobs in {seconds} s, database {} MB", size / 1_000_000);
        let mut server = start("serve", folder.path(), LISTEN);
        measure(jobs).await;
        must(server.kill());
        must(server.wait());
    });
}

async fn enlarge(folder: &Path, jobs: u64) {
    let options = SqliteConnectOptions::new().filename(folder.join("fusewright.db"));
    let options = options.pragma("synchronous", "off").pragma("cache_size", "-400000");
    let mut db = must(options.foreign_keys(false).connect().await);
    let newest = sqlx::query_scalar("select max(updated_ms) from job");
    let now: i64 = must(newest.fetch_one(&mut db).await);
    let statements = LARGE.split("\n\n").filter(|part| part.starts_with("insert"));
    let statements: Vec<String> = statements.map(|part| format!("{SOURCES}{part}")).collect();
    let mut from = 0;
    while from < jobs {
        let until = (from + BATCH).min(jobs);
        must(sqlx::query("begin").execute(&mut db).await);
        for statement in &statements {
            let text = statement.replace(":from", &from.to_string());
            let text = text.replace(":until", &until.to_string());
            let text = text.replace(":all", &jobs.to_string()).replace(":now", &now.to_string());
            must(sqlx::query(AssertSqlSafe(text)).execute(&mut db).await);
        }
        must(sqlx::query("commit").execute(&mut db).await);
        from = until;
    }
    must(sqlx::query("pragma optimize").execute(&mut db).await);
}

async fn measure(jobs: u64) {
    let client = must(Client::builder().cookie_store(true).build());
    sign_in(&client).await;
    let review = first_review(&client).await;
    let pages: [Page<'_>; 12] = [
        ("desk", 100, &|_| "/jobs".to_owned()),
        ("search: a word that every fourth job has", 100, &|_| "/jobs?find=camper".to_owned()),
        ("search: a customer", 300, &|n| format!("/jobs?find=flint+works+{}", n * 7919 % jobs / 5)),
        ("search: a serial number", 300, &|n| format!("/jobs?find={:06}", n * 104_729 % jobs)),
        ("search: a word of notes, unfinished", 100, &|n| {
            format!("/jobs?find=scratch&before={}", jobs - n)
        }),
        ("filter: kit, vehicle and note", 100, &|_| {
            "/jobs?kit=TRAY-40&vehicle=flatbed&find=lid".to_owned()
        }),
        ("filter: days of last year", 100, &|_| "/jobs?from=2025-01-01&to=2025-12-31".to_owned()),
        ("plan board", 100, &|_| "/board".to_owned()),
        ("defects", 100, &|_| "/defects".to_owned()),
        ("due", 100, &|_| "/due".to_owned()),
        ("review, all steps", 100, &|_| format!("{review}?show=all")),
        ("trends of this year", 20, &|_| "/trends".to_owned()),
    ];
    for (name, times, address) in pages {
        let mut took = Vec::new();
        for n in 0..times {
            let began = Instant::now();
            read(&client, &address(n + 1)).await;
            took.push(began.elapsed());
        }
        tell(name, took);
    }
}

async fn read(client: &Client, path: &str) -> String {
    let reply = must(client.get(format!("http://{LISTEN}{path}")).send().await);
    assert_eq!(reply.status(), 200, "{path}");
    must(reply.text().await)
}

async fn sign_in(client: &Client) {
    let address = format!("http://{LISTEN}/sign-in");
    for _ in 0..600 {
        if client.get(&address).send().await.is_ok() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    let ask = client.post(&address).header("sec-fetch-site", "same-origin").form(&SIGN_IN);
    let reply = must(ask.send().await);
    assert!(reply.url().path().starts_with("/jobs"), "{}", reply.url());
}

/// The demo's job that waits longest for review: the only ones with a whole sheet are the demo's.
async fn first_review(client: &Client) -> String {
    let found = read(client, "/jobs?find=NR+20+FEX").await;
    let at = must(found.find("href=\"/jobs/0").ok_or("no job for review"));
    found[at + 6..].chars().take_while(|c| *c != '"').collect()
}

fn tell(name: &str, mut took: Vec<Duration>) {
    took.sort_unstable();
    let at = |percent: usize| took.get((took.len() * percent).div_ceil(100) - 1).copied();
    let [median, slow, most] = [50, 99, 100].map(|percent| at(percent).unwrap_or_default());
    println!("{name}: median {median:.1?}, p99 {slow:.1?}, most {most:.1?} of {}", took.len());
}
