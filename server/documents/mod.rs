//! From ready-to-print text to a typeset, sealed and checkable PDF; the only floor that names the
//! typesetting engine, the PDF reader, the signature types, the container of archives and spreadsheets.

pub mod archive_file;
pub mod certificate;
mod cms_envelope;
pub mod comparison;
pub mod drawing;
mod fonts;
pub mod gauge;
pub mod handover;
pub mod labels;
pub mod paper;
mod pdf_object;
pub mod pdf_photos;
mod pdf_update;
mod pictures;
mod pkcs12;
pub mod printable;
pub mod qr;
pub mod seal_backup;
pub mod seal_import;
pub mod sign;
pub mod table_file;
pub mod time_stamp;
pub mod typeset;
pub mod verify;
pub mod voice;
pub mod words;
