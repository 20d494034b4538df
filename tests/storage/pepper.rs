//! The file that PINs are mixed with.

use fusewright::storage::pepper::{FILE, append, load};
use tempfile::TempDir;

#[tokio::test]
async fn a_pepper_is_kept_for_this_account_only_and_read_as_it_was_made() {
    let place = TempDir::new().unwrap();
    let folder = place.path().join("keys");
    assert_eq!(load(&folder).await.unwrap(), None);
    let made = append(&folder, [7; 32]).await.unwrap();
    assert_eq!(load(&folder).await.unwrap(), Some(made));
    assert_eq!(made.bytes(), [7; 32]);
    assert_eq!(std::fs::read(folder.join(FILE)).unwrap(), [7; 32]);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let rights = |path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!((rights(folder.join(FILE)), rights(folder)), (0o600, 0o700));
    }
}

#[tokio::test]
async fn a_pepper_of_another_length_is_refused_and_never_shown() {
    let place = TempDir::new().unwrap();
    for bytes in [31, 33, 0] {
        std::fs::write(place.path().join(FILE), vec![7; bytes]).unwrap();
        let refused = load(place.path()).await.unwrap_err().to_string();
        assert!(refused.contains(&format!("it holds {bytes} bytes")), "{refused}");
    }
    let made = append(place.path(), [7; 32]).await.unwrap();
    assert_eq!(format!("{made:?}"), "Pepper(…)");
}
