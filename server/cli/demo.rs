//! `fusewright demo`: an invented workshop with eleven jobs, made through the same acts as real ones.

mod canvas;
mod cast;
mod figures;
mod glyphs;
mod job;
mod phones;
mod pictures;
mod story;

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;

use self::phones::{Pins, key_folder};
use super::serve::{self, Ready};
use super::{Failure, Outcome, say, seal};
use crate::config;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::storage::Store;
use crate::world::{Clock, random, readable_code};

/// Marks a folder as a demo's, so that nothing else is ever emptied.
const MARK: &str = "demo";
/// Everybody in the demo signs in with it.
const PASSWORD: &str = "four quiet herons wade";

/// Serve an invented workshop with eleven jobs, to look around in.
///
/// The workshop is made anew at each start, and gone at the end unless --data or --keep is given.
#[derive(Debug, Args)]
pub(super) struct Demo {
    /// Folder for the demo; a fresh one among the temporary files if it is not given
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Address and port to answer on, on this machine only
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:8080")]
    listen: SocketAddr,
    /// Go on with the demo that is in the folder, and leave it there at the end
    #[arg(long)]
    keep: bool,
}

pub(super) async fn run(demo: Demo) -> Outcome {
    serve::start_log("warn")?;
    config::origin(demo.listen, None)?;
    let (listener, address) = serve::listen(demo.listen, "--listen").await?;
    let origin = config::origin(address, None)?;
    let folder = match &demo.data {
        Some(folder) => folder.clone(),
        None => fresh_name()?,
    };
    let fresh = prepare(&folder, demo.keep)?;
    let store = Store::open(&folder).await?;
    let clock = Clock::system();
    let made = make(&store, fresh, &origin, clock.now()).await;
    let (seal, pins) = serve::or_close(&store, made).await?;
    let stop = serve::hear_stop()?;
    greet(&folder, &origin, &pins);
    let (setup_code, key_folder) = (readable_code()?, key_folder(&store));
    // Nobody but this machine reaches a demo.
    let proxies = Vec::new();
    let (secured, redirect) = (None, None);
    let ready = Ready {
        listener,
        secured,
        redirect,
        store,
        seal,
        stamps: None,
        key_folder,
        origin,
        setup_code,
        clock,
        proxies,
    };
    let ended = serve::serve(ready, stop).await;
    if demo.data.is_none() && !demo.keep {
        // What stays behind is only among temporary files.
        let _ = std::fs::remove_dir_all(&folder);
    }
    ended
}

/// The seal, and the workshop if it is not there yet. PINs are told only when they are made.
async fn make(
    store: &Store,
    fresh: bool,
    origin: &str,
    now: Moment,
) -> Result<(Arc<SealKey>, Pins), Failure> {
    // As old as the workshop: its first certificates are some days old.
    let begun = now.plus_days(-cast::WORKSHOP_DAYS);
    let seal = seal::load_or_make(store, &key_folder(store), begun).await?;
    if !fresh {
        return Ok((seal, Pins::new()));
    }
    say("Making the demo workshop …");
    let pins = Box::pin(story::tell(store, &seal, origin, now)).await?;
    Ok((seal, pins))
}

fn fresh_name() -> Result<PathBuf, Failure> {
    let name = format!("fusewright-demo-{}", crate::domain::seal::hex(&random::<6>()?));
    Ok(config::scratch_folder().join(name))
}

/// Makes room for a demo; `false` if there is one to go on with.
fn prepare(folder: &Path, keep: bool) -> Result<bool, Failure> {
    let at = folder.display();
    let failed = |why| Failure::new(format!("The folder {at} cannot be prepared ({why})."));
    let is_empty = match std::fs::read_dir(folder) {
        Ok(mut entries) => entries.next().is_none(),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => true,
        Err(why) => return Err(failed(why)),
    };
    if !is_empty && !folder.join(MARK).is_file() {
        return Err(Failure::new(format!(
            "The folder {at} holds something that is no demo. Name another one with --data."
        )));
    }
    if !is_empty && keep {
        return Ok(false);
    }
    if !is_empty {
        refuse_if_open(folder)?;
        std::fs::remove_dir_all(folder).map_err(failed)?;
    }
    std::fs::create_dir_all(folder).map_err(failed)?;
    std::fs::write(folder.join(MARK), "Made by `fusewright demo`; emptied at its next start.\n")
        .map_err(failed)?;
    Ok(true)
}

/// A demo that is running keeps its folder.
fn refuse_if_open(folder: &Path) -> Result<(), Failure> {
    let Ok(lock) = std::fs::File::open(folder.join("lock")) else { return Ok(()) };
    if lock.try_lock().is_ok() {
        return Ok(());
    }
    Err(crate::storage::OpenError::Locked { folder: folder.to_owned() }.into())
}

fn greet(folder: &Path, origin: &str, pins: &Pins) {
    say(format!("\nOpen:      {origin}"));
    say(format!("Data:      {}", folder.display()));
    say(format!("Password:  {PASSWORD} (the same for everybody)\n"));
    for person in &cast::PEOPLE {
        say(format!("  sign in as {:9} {}, {}", person.sign_in, person.name, person.role.word()));
    }
    say("\nTechnicians also switch by PIN on a shared phone; a manager enrols one at /phones.");
    for (sign_in, pin) in pins {
        say(format!("  PIN of {sign_in:9}  {pin}"));
    }
    say("");
    for (number, shows) in (1..).zip(story::SHOWS) {
        say(format!("  job {number:2}  {shows}"));
    }
    say("\nEverything here is invented. Stop with Ctrl-C.");
}
