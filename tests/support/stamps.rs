//! A time-stamp authority of the tests' own: openssl makes the stamps, a thread hands them out on loopback, and
//! spoils them where it is told to.

use std::io::{Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::thread;

use crate::documents::tools::{Desk, text};

/// What it does instead of answering well.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Temper {
    Good,
    /// Stamps the same bytes, with a number of its own.
    OtherNonce,
    /// Stamps something else.
    OtherImprint,
    /// Says in the proper form that it will not.
    Rejecting,
    /// Sends more than any stamp.
    Flooding,
    /// Takes the request and says nothing.
    Silent,
    /// Closes before it has said anything.
    Closing,
    /// Answers with an error page.
    Lost,
    /// Answers with a page that says 200.
    Talking,
    /// Stamps with a certificate that is not meant for it.
    Unfit,
    /// Signs something and changes a byte of it.
    Broken,
}

pub(crate) struct Stamps {
    pub(crate) desk: Arc<Desk>,
    temper: Arc<Mutex<Temper>>,
    pub(crate) address: String,
}

const POLICY: &str = "1.2.3.4.1";

impl Stamps {
    /// One with a key of this kind.
    pub(crate) fn start(kind: &str) -> Self {
        let desk = Arc::new(made(kind));
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}/tsa?x=1", listener.local_addr().unwrap());
        let temper = Arc::new(Mutex::new(Temper::Good));
        let (shared, asked) = (Arc::clone(&desk), Arc::clone(&temper));
        thread::spawn(move || {
            // Those that are left waiting stay open as long as the server.
            let mut waiting = Vec::new();
            for stream in listener.incoming() {
                let mut stream = stream.unwrap();
                let temper = *asked.lock().unwrap();
                serve(&shared, &mut stream, temper);
                if temper == Temper::Silent {
                    waiting.push(stream);
                }
            }
        });
        Self { desk, temper, address }
    }

    pub(crate) fn is(&self, temper: Temper) {
        *self.temper.lock().unwrap() = temper;
    }

    /// A certificate of the desk.
    pub(crate) fn pem(&self, name: &str) -> String {
        std::fs::read_to_string(self.desk.path(name)).unwrap()
    }

    /// A stamp of these bytes, as from the network.
    pub(crate) fn reply(&self, request: &[u8]) -> Vec<u8> {
        reply(&self.desk, request, "stamps")
    }
}

fn done(desk: &Desk, arguments: &[&str]) {
    let output = desk.run("openssl", arguments);
    assert!(output.status.success(), "{arguments:?}: {}", text(&output.stderr));
}

/// A desk with a root, an authority for time stamps below it, and one that is meant for something else.
fn made(kind: &str) -> Desk {
    let desk = Desk::with("x", b"");
    let section = |name: &str, digests: &str| {
        format!(
            "[{name}]\nserial=./serial\ncrypto_device=builtin\nsigner_digest=sha256\ndefault_policy={POLICY}\n\
             digests={digests}\naccuracy=secs:1,millisecs:500,microsecs:100\nordering=yes\ntsa_name=yes\n\
             ess_cert_id_chain=no\ness_cert_id_alg=sha256\nclock_precision_digits=3\n"
        )
    };
    let config = format!(
        "[tsa]\ndefault_tsa=usual\n{}{}\
         [stamps]\nbasicConstraints=CA:FALSE\nkeyUsage=critical,digitalSignature\n\
         extendedKeyUsage=critical,timeStamping\n\
         [unfit]\nbasicConstraints=CA:FALSE\nextendedKeyUsage=timeStamping\n\
         [req]\ndistinguished_name=dn\nx509_extensions=root\n[dn]\n\
         [root]\nbasicConstraints=critical,CA:TRUE\nkeyUsage=critical,keyCertSign\n",
        section("usual", "sha256"),
        section("picky", "sha512"),
    );
    desk.put("tsa.cnf", config.as_bytes());
    desk.put("serial", b"01\n");
    let key = |name: &str| {
        let mut new = vec!["genpkey", "-out", name, "-algorithm"];
        new.extend(kind.split(' '));
        done(&desk, &new);
    };
    key("root.key");
    let root = ["req", "-x509", "-config", "tsa.cnf", "-key", "root.key", "-days", "9000"];
    done(&desk, &[&root[..], &["-subj", "/CN=Root of the test", "-out", "root.pem"]].concat());
    for name in ["stamps", "unfit"] {
        let (own, request, certificate) =
            (format!("{name}.key"), format!("{name}.csr"), format!("{name}.pem"));
        key(&own);
        let subject = format!("/CN={name} of the test");
        let new = ["req", "-new", "-config", "tsa.cnf", "-key", &own, "-subj", &subject];
        done(&desk, &[&new[..], &["-out", &request]].concat());
        let sign = ["x509", "-req", "-in", &request, "-CA", "root.pem", "-CAkey", "root.key"];
        let rest = ["-CAcreateserial", "-days", "9000", "-extfile", "tsa.cnf", "-extensions", name];
        done(&desk, &[&sign[..], &rest, &["-out", &certificate]].concat());
    }
    desk
}

/// What openssl answers, with the root beside the signer's certificate.
fn reply(desk: &Desk, request: &[u8], name: &str) -> Vec<u8> {
    desk.put("asked.tsq", request);
    let (key, certificate) = (format!("{name}.key"), format!("{name}.pem"));
    let reply =
        ["ts", "-reply", "-config", "tsa.cnf", "-queryfile", "asked.tsq", "-chain", "root.pem"];
    done(
        desk,
        &[&reply[..], &["-inkey", &key, "-signer", &certificate, "-out", "reply.tsr"]].concat(),
    );
    std::fs::read(desk.path("reply.tsr")).unwrap()
}

/// A question that openssl makes up for these hexadecimal digits.
fn question(desk: &Desk, digest: &str) -> Vec<u8> {
    done(desk, &["ts", "-query", "-sha256", "-cert", "-digest", digest, "-out", "other.tsq"]);
    std::fs::read(desk.path("other.tsq")).unwrap()
}

fn serve(desk: &Desk, stream: &mut TcpStream, temper: Temper) {
    let asked = body(stream);
    // The digest stands behind the header of a string of 32 bytes.
    let at = asked.windows(2).position(|pair| pair == [0x04, 0x20]).unwrap() + 2;
    let digest = fusewright::domain::seal::hex(&asked[at..at + 32]);
    let kind = "application/timestamp-reply";
    match temper {
        Temper::Good => answer(stream, "200 OK", kind, &reply(desk, &asked, "stamps")),
        Temper::OtherNonce => {
            answer(stream, "200 OK", kind, &reply(desk, &question(desk, &digest), "stamps"));
        }
        Temper::OtherImprint => {
            let mut other = asked;
            other[at] ^= 1;
            answer(stream, "200 OK", kind, &reply(desk, &other, "stamps"));
        }
        Temper::Rejecting => {
            desk.put("asked.tsq", &asked);
            let refuse = ["ts", "-reply", "-config", "tsa.cnf", "-section", "picky"];
            let more = ["-queryfile", "asked.tsq", "-inkey", "stamps.key", "-signer", "stamps.pem"];
            let _ = desk.run("openssl", &[&refuse[..], &more, &["-out", "reply.tsr"]].concat());
            answer(stream, "200 OK", kind, &std::fs::read(desk.path("reply.tsr")).unwrap());
        }
        Temper::Flooding => answer(stream, "200 OK", kind, &vec![0x30; 1 << 20]),
        Temper::Silent | Temper::Closing => {}
        Temper::Lost => answer(stream, "404 Not Found", kind, b"no"),
        Temper::Talking => answer(stream, "200 OK", "text/html", b"<p>Welcome"),
        Temper::Unfit => {
            // openssl does not stamp with such a certificate; it signs the same words by another way.
            let good = reply(desk, &asked, "stamps");
            answer(stream, "200 OK", kind, &resigned(desk, &good));
        }
        Temper::Broken => {
            let mut good = reply(desk, &asked, "stamps");
            *good.last_mut().unwrap() ^= 1;
            answer(stream, "200 OK", kind, &good);
        }
    }
}

/// The same statement under a signature of the certificate that is not meant for it.
fn resigned(desk: &Desk, reply: &[u8]) -> Vec<u8> {
    desk.put("good.tsr", reply);
    done(desk, &["ts", "-reply", "-in", "good.tsr", "-token_out", "-out", "good.tk"]);
    let verify =
        ["cms", "-verify", "-noverify", "-inform", "DER", "-in", "good.tk", "-out", "stated"];
    done(desk, &verify);
    let sign =
        ["cms", "-sign", "-binary", "-cades", "-nodetach", "-outform", "DER", "-in", "stated"];
    let more = ["-econtent_type", "1.2.840.113549.1.9.16.1.4", "-md", "sha256"];
    let who = ["-inkey", "unfit.key", "-signer", "unfit.pem", "-out", "unfit.tk"];
    done(desk, &[&sign[..], &more, &who].concat());
    done(desk, &["ts", "-reply", "-in", "unfit.tk", "-token_in", "-out", "unfit.tsr"]);
    std::fs::read(desk.path("unfit.tsr")).unwrap()
}

/// The body of a request.
fn body(stream: &mut TcpStream) -> Vec<u8> {
    let mut read = Vec::new();
    loop {
        let mut piece = [0; 4096];
        let bytes = stream.read(&mut piece).unwrap();
        assert_ne!(bytes, 0, "the request was cut off");
        read.extend_from_slice(&piece[..bytes]);
        let Some(end) = read.windows(4).position(|four| four == b"\r\n\r\n") else { continue };
        let head = String::from_utf8(read[..end].to_vec()).unwrap().to_lowercase();
        assert!(head.starts_with("post /tsa?x=1 http/1.1\r\n"), "{head}");
        assert!(head.contains("content-type: application/timestamp-query"), "{head}");
        let length = head.lines().find_map(|line| line.strip_prefix("content-length: "));
        if read.len() == end + 4 + length.unwrap().parse::<usize>().unwrap() {
            return read[end + 4..].to_vec();
        }
    }
}

fn answer(stream: &mut TcpStream, status: &str, kind: &str, body: &[u8]) {
    let head = format!(
        "HTTP/1.1 {status}\r\ncontent-type: {kind}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n",
        body.len()
    );
    // Whoever has heard enough may hang up.
    let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(body));
}
