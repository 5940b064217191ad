//! `halfglass serve`: the workbench in the browser.

use std::io::Read as _;
use std::path::Path;

use halfglass_folder::Folder;
use halfglass_pack::PackInput;
use halfglass_web::{
    Listen, PackOf, PackPrinter, PassCode, ServeError, Serving, Workbench, qr_text, serve,
};

use crate::args::ServeArgs;
use crate::failure::Failure;

/// Where a pass-code may stand that no process list shows.
const PASS_CODE_VARIABLE: &str = "HALFGLASS_PASS_CODE";

pub(crate) fn run(args: &ServeArgs) -> Result<(), Failure> {
    let folder = Folder::open(&args.folder)
        .map_err(|error| machine("opening", &args.folder, error.to_string()))?;
    let reachable = !args.listen.ip().is_loopback();
    let (pass_code, made_up) = pass_code(args, reachable)?;
    let listen = Listen {
        address: args.listen,
        pass_code: pass_code.clone(),
        host_names: args.host_name.clone(),
        certificate: args.tls_cert.clone().zip(args.tls_key.clone()),
    };
    let bench = Workbench::new(folder, pack_printer());
    serve(bench, &listen, |serving| {
        announce(args, serving, pass_code.filter(|_| made_up).as_ref());
    })
    .map_err(|error| match error {
        ServeError::Listen { address, source } => Failure::Machine {
            doing: "listening on",
            path: address.to_string().into(),
            error: source,
        },
        ServeError::Certificate { path, why } => machine("reading the certificate", &path, why),
        other => machine("serving", &args.folder, other.to_string()),
    })
}

fn machine(doing: &'static str, path: &Path, why: String) -> Failure {
    Failure::Machine {
        doing,
        path: path.to_owned(),
        error: std::io::Error::other(why),
    }
}

/// The pass-code of who starts the workbench, or a made-up one where the network can reach it; and whether it is made up.
fn pass_code(args: &ServeArgs, reachable: bool) -> Result<(Option<PassCode>, bool), Failure> {
    let usage = |what: String| Failure::Usage {
        what,
        help: format!(
            "give it in a file with --pass-code-file (`-` reads standard input) or in the environment as {PASS_CODE_VARIABLE}, or give none and one is made up"
        ),
    };
    let text = match &args.pass_code_file {
        Some(path) if path.as_os_str() == "-" => {
            let mut text = String::new();
            std::io::stdin()
                .take(4_096)
                .read_to_string(&mut text)
                .map_err(|error| machine("reading", path, error.to_string()))?;
            Some(text)
        }
        Some(path) => Some(
            std::fs::read_to_string(path)
                .map_err(|error| machine("reading", path, error.to_string()))?,
        ),
        None => std::env::var(PASS_CODE_VARIABLE).ok(),
    };
    match text {
        Some(text) => PassCode::chosen(&text)
            .map(|code| (Some(code), false))
            .map_err(|error| usage(error.to_string())),
        None if reachable => PassCode::made_up()
            .map(|code| (Some(code), true))
            .map_err(|error| usage(error.to_string())),
        None => Ok((None, false)),
    }
}

/// Says on the terminal where the workbench is and what it takes to get there.
fn announce(args: &ServeArgs, serving: &Serving, made_up: Option<&PassCode>) {
    let url = &serving.url;
    eprintln!("Workbench on {}", args.folder.display());
    eprintln!("  open       {url}");
    if let Some(code) = made_up {
        eprintln!("  pass-code  {}", code.shown());
    } else if serving.reachable {
        eprintln!("  pass-code  the one you gave");
    }
    if serving.reachable {
        // Black on white whatever the terminal's own colours are, or a camera sees a negative.
        let style = anstyle::AnsiColor::Black.on(anstyle::AnsiColor::BrightWhite);
        for line in qr_text(url).iter().flat_map(|code| code.lines()) {
            anstream::eprintln!("{style}{line}{style:#}");
        }
        if !serving.encrypted {
            eprintln!(
                "The traffic is NOT encrypted: anyone on this network can read it, the pass-code too. Use a network that you\n\
                 trust, or give a certificate with --tls-cert and --tls-key."
            );
        }
    }
    eprintln!("Ctrl-C ends it.");
}

/// The typesetter, handed in so that the pages build without it.
fn pack_printer() -> PackPrinter {
    Box::new(|of: &PackOf<'_>| {
        halfglass_pack::pdf(&PackInput {
            the_loop: of.described,
            sheets: of.sheets,
            units: of.units,
            file_name: of.file_name,
            sha256: of.sha256,
        })
        .map_err(|error| error.to_string())
    })
}
