//! A job as one archive: which files it holds, what stands in them, how large each may be. Pure; the
//! container (a ZIP whose members are stored and not compressed, so that any machine opens it and none
//! grows when it is opened) is `documents/archive_file.rs`.
//!
//! | file | what it holds |
//! |---|---|
//! | `README.txt` | what is what, and how to check it by hand |
//! | `job.json` | [`About`]: workshop, job, kit, plans, sheets, people, devices, instruments, photos, certificates, withdrawals |
//! | `customer.json` | [`CustomerLine`]; left out with `--without-customer` |
//! | `entries.jsonl` | one [`EntryLine`] a line, in the order of the chain: all that its hashes are made of |
//! | `register.jsonl` | one [`RegisterText`] a line: the workshop's register from its first line to the last that concerns the job |
//! | `kit.toml`, `plans/N.toml`, `sheets/N.json` | the exact bytes that the chain commits to |
//! | `photos/SHA256.jpg` | each photo as it is kept, under its own digest |
//! | `certificates/NUMBER.pdf`, `.json` | each certificate, and the record inside it |
//! | `seals/SHA256.pem` | the certificates of the seals that sealed them |
//! | `SHA256SUMS` | the digest of every other file, for `sha256sum -c` |
//!
//! Nothing in it says when or by whom it was made: the same job gives the same bytes. The register's lines
//! of other jobs hold a number, a time and digests, no more than the status list that is open to all.

mod about;
mod chain;
mod compare;
mod hex_text;
mod lines;
mod member;

pub use about::{
    About, CertificateAbout, CustomerLine, DeviceAbout, JobAbout, KitAbout, PersonAbout,
    PhotoAbout, PlanAbout, SheetAbout, WithdrawalAbout, WorkshopAbout,
};
pub use chain::{entries, register};
pub use compare::differences;
pub use hex_text::Hex;
pub use lines::{EntryLine, RegisterText, read_lines, write_lines};
pub use member::{ARCHIVE_MEMBERS_MAX, Member};

/// What `job.json` names itself.
pub const FORMAT: &str = "fusewright-archive/1";
/// Largest archive [MiB]: below what a ZIP of the first form can hold.
pub const ARCHIVE_MIB_MAX: u64 = 3_072;
/// Lines of the register that one archive may carry: thirty years of a busy workshop.
pub const REGISTER_LINES_MAX: usize = 200_000;
/// What stands in `README.txt`.
pub const README: &str = include_str!("../../templates/documents/archive.txt");
