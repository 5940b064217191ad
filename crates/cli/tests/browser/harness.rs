//! A workbench on a scratch folder and a browser that looks at it.

use std::cell::RefCell;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use fantoccini::elements::Element;
use fantoccini::wd::{PrintConfiguration, WebDriverCompatibleCommand};
use fantoccini::{Client, ClientBuilder, Locator};
use serde_json::{Value, json};

/// Longest wait for anything to appear.
const PATIENCE: Duration = Duration::from_secs(20);

/// What Chromium is started with: no window, no calls home.
const CHROMIUM: [&str; 10] = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
];

/// A process that ends with the test. The browser's driver takes its browsers with it when it is told politely.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let told = Command::new("kill").arg(self.0.id().to_string()).status();
        if !told.is_ok_and(|status| status.success()) {
            let _ = self.0.kill();
        }
        let _ = self.0.wait();
    }
}

/// Folder of the project.
pub(crate) fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A visit to a workbench of its own.
pub(crate) struct Visit {
    pub(crate) client: Client,
    /// The folder that the workbench is on: copies of all examples.
    pub(crate) folder: PathBuf,
    /// Where the browser puts what it downloads.
    pub(crate) downloads: PathBuf,
    url: String,
    workbench: RefCell<Option<Running>>,
}

/// A command to the browser's own protocol, for what the driver has no word for.
#[derive(Debug)]
struct DevTools(Value);

impl WebDriverCompatibleCommand for DevTools {
    fn endpoint(
        &self,
        base: &url::Url,
        session: Option<&str>,
    ) -> Result<url::Url, url::ParseError> {
        let session = session.unwrap_or_default();
        base.join(&format!("session/{session}/goog/cdp/execute"))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.0.to_string()))
    }
}

/// Starts a program and waits for the line that says where it listens; `find` takes its address from a line.
fn started(
    mut command: Command,
    what: &str,
    find: impl Fn(&str) -> Option<String>,
) -> (Running, String) {
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| {
            panic!("{what} cannot be started ({error}); `cargo xtask setup` installs what the tests need")
        });
    let (out, err) = (child.stdout.take().unwrap(), child.stderr.take().unwrap());
    let running = Running(child);
    let (tell, told) = std::sync::mpsc::channel();
    for stream in [
        Box::new(out) as Box<dyn std::io::Read + Send>,
        Box::new(err),
    ] {
        let tell = tell.clone();
        std::thread::spawn(move || {
            for line in BufReader::new(stream).lines().map_while(Result::ok) {
                let _ = tell.send(line);
            }
        });
    }
    drop(tell);
    let began = Instant::now();
    let mut said = Vec::new();
    while began.elapsed() < PATIENCE {
        match told.recv_timeout(PATIENCE) {
            Ok(line) => {
                if let Some(found) = find(&line) {
                    return (running, found);
                }
                said.push(line);
            }
            Err(_) => break,
        }
    }
    panic!("{what} did not say where it listens: {said:?}");
}

/// A workbench on a folder, and its address.
fn serve(folder: &Path, listen: &str) -> (Running, String) {
    let mut workbench = Command::new(env!("CARGO_BIN_EXE_halfglass"));
    workbench
        .arg("serve")
        .arg(folder)
        .args(["--listen", listen]);
    started(workbench, "halfglass serve", |line| {
        let at = line.find("http://")?;
        Some(line[at..].trim().trim_end_matches('/').to_owned())
    })
}

/// Runs a visit: a workbench on copies of the examples, a browser, and what to do with both.
pub(crate) fn visit(what: impl AsyncFnOnce(&Visit)) {
    let scratch = tempfile::tempdir().unwrap();
    let (folder, downloads) = (
        scratch.path().join("loops"),
        scratch.path().join("downloads"),
    );
    for made in [&folder, &downloads] {
        std::fs::create_dir(made).unwrap();
    }
    for example in std::fs::read_dir(project().join("examples")).unwrap() {
        let path = example.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "toml") {
            std::fs::copy(&path, folder.join(path.file_name().unwrap())).unwrap();
        }
    }
    let (workbench, url) = serve(&folder, "127.0.0.1:0");
    let mut driver = Command::new("chromedriver");
    driver.arg("--port=0");
    let (_driver, port) = started(driver, "chromedriver", |line| {
        let after = line.split("on port ").nth(1)?;
        Some(after.trim_end_matches('.').trim().to_owned()).filter(|port| port != "0")
    });
    let mut arguments: Vec<String> = CHROMIUM.map(str::to_owned).into();
    arguments.push(format!(
        "--user-data-dir={}",
        scratch.path().join("browser").display()
    ));
    let capabilities = json!({
        "goog:chromeOptions": {
            "args": arguments,
            "prefs": { "download.default_directory": downloads, "plugins.always_open_pdf_externally": true },
        },
        "goog:loggingPrefs": { "browser": "ALL" },
    });
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(async {
        let client = ClientBuilder::new(hyper_connector())
            .capabilities(capabilities.as_object().unwrap().clone())
            .connect(&format!("http://127.0.0.1:{port}"))
            .await
            .expect("Chromium can be started; `cargo xtask setup` installs it");
        let visit = Visit {
            client: client.clone(),
            folder,
            downloads,
            url,
            workbench: RefCell::new(Some(workbench)),
        };
        what(&visit).await;
        client.close().await.unwrap();
    });
}

fn hyper_connector() -> hyper_util::client::legacy::connect::HttpConnector {
    hyper_util::client::legacy::connect::HttpConnector::new()
}

impl Visit {
    /// Stops the workbench: nobody answers any more.
    pub(crate) fn stop_workbench(&self) {
        let stopped = self.workbench.borrow_mut().take();
        assert!(stopped.is_some(), "the workbench was stopped already");
    }

    /// Starts it again where it was.
    pub(crate) fn start_workbench_again(&self) {
        let listen = self.url.trim_start_matches("http://");
        let (workbench, url) = serve(&self.folder, listen);
        assert_eq!(url, self.url);
        self.workbench.replace(Some(workbench));
    }

    /// The page that is open as the browser prints it.
    pub(crate) async fn printed(&self) -> PathBuf {
        let settings = PrintConfiguration::default();
        let pdf = self.client.print(settings).await.unwrap();
        let place = self.downloads.join("printed.pdf");
        std::fs::write(&place, pdf).unwrap();
        place
    }

    /// Opens a page by its path.
    pub(crate) async fn open(&self, path: &str) {
        self.client
            .goto(&format!("{}{path}", self.url))
            .await
            .unwrap();
    }

    /// Path and query of the page that is open.
    pub(crate) async fn here(&self) -> String {
        let url = self.client.current_url().await.unwrap();
        url.as_str().strip_prefix(&self.url).unwrap().to_owned()
    }

    /// Looks through a screen of so many CSS pixels, with or without a finger.
    pub(crate) async fn screen(&self, width: u32, height: u32) {
        self.dev_tools(
            "Emulation.setDeviceMetricsOverride",
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 800 }),
        )
        .await;
    }

    /// As the device's own setting.
    pub(crate) async fn dark(&self, dark: bool) {
        let value = if dark { "dark" } else { "light" };
        self.dev_tools(
            "Emulation.setEmulatedMedia",
            json!({ "features": [{ "name": "prefers-color-scheme", "value": value }] }),
        )
        .await;
    }

    /// A command of the browser's own protocol.
    pub(crate) async fn dev_tools(&self, command: &str, parameters: Value) -> Value {
        self.client
            .issue_cmd(DevTools(json!({ "cmd": command, "params": parameters })))
            .await
            .unwrap()
    }

    /// The whole page as a picture in `target/screens`.
    pub(crate) async fn picture(&self, name: &str) {
        self.top_picture(name, u32::MAX).await;
    }

    /// The page from its top, so many pixels high at most, as a picture in `target/screens`.
    pub(crate) async fn top_picture(&self, name: &str, most_height: u32) {
        let size = self
            .script(&format!(
                "return [document.documentElement.clientWidth, Math.min(document.documentElement.scrollHeight, {most_height})]"
            ))
            .await;
        let answer = self
            .dev_tools(
                "Page.captureScreenshot",
                json!({
                    "captureBeyondViewport": true,
                    "clip": { "x": 0, "y": 0, "width": size[0], "height": size[1], "scale": 1 },
                }),
            )
            .await;
        let place = project().join("target/screens");
        std::fs::create_dir_all(&place).unwrap();
        let bytes = from_base64(answer["data"].as_str().unwrap());
        std::fs::write(place.join(format!("{name}.png")), bytes).unwrap();
    }

    /// What a script answers.
    pub(crate) async fn script(&self, script: &str) -> Value {
        self.client.execute(script, Vec::new()).await.unwrap()
    }

    /// The element of a selector, once it is there.
    pub(crate) async fn find(&self, css: &str) -> Element {
        let waited = self.client.wait().at_most(PATIENCE);
        match waited.for_element(Locator::Css(css)).await {
            Ok(element) => element,
            Err(error) => panic!("no `{css}` on {}: {error}", self.here().await),
        }
    }

    /// Text of the element of a selector.
    pub(crate) async fn text(&self, css: &str) -> String {
        self.find(css).await.text().await.unwrap()
    }

    /// Follows a link or presses a button by its words.
    pub(crate) async fn press(&self, words: &str) {
        let path = format!(
            "//*[self::a or self::button or self::summary][normalize-space()={0} or @aria-label={0}]",
            quoted(words)
        );
        let waited = self.client.wait().at_most(PATIENCE);
        match waited.for_element(Locator::XPath(&path)).await {
            Ok(element) => element.click().await.unwrap(),
            Err(error) => panic!(
                "nothing to press called {words:?} on {}: {error}",
                self.here().await
            ),
        }
    }

    /// The field that a label names.
    pub(crate) async fn field(&self, label: &str) -> Element {
        let path = format!(
            "//*[@id=//label[contains(normalize-space(), {0})]/@for] | //label[contains(normalize-space(), {0})]//*[self::input or self::select or self::textarea] | //*[self::input or self::select or self::textarea][@aria-label={0}]",
            quoted(label)
        );
        let waited = self.client.wait().at_most(PATIENCE);
        match waited.for_element(Locator::XPath(&path)).await {
            Ok(element) => element,
            Err(error) => panic!(
                "no field called {label:?} on {}: {error}",
                self.here().await
            ),
        }
    }

    /// Types into a field what it shall hold then.
    pub(crate) async fn fill(&self, label: &str, text: &str) {
        let field = self.field(label).await;
        field.clear().await.unwrap();
        field.send_keys(text).await.unwrap();
    }

    /// Waits until a script's answer is true.
    pub(crate) async fn until(&self, what: &str, script: &str) {
        let began = Instant::now();
        while began.elapsed() < PATIENCE {
            if self.script(script).await == Value::Bool(true) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        panic!("{what} did not come about on {}", self.here().await);
    }

    /// Waits until the page holds these words.
    pub(crate) async fn until_it_says(&self, words: &str) {
        let words = Value::from(words);
        self.until(
            &format!("the words {words}"),
            &format!("return document.body.innerText.includes({words})"),
        )
        .await;
    }
}

/// A text as XPath writes it.
fn quoted(text: &str) -> String {
    if text.contains('\'') {
        format!("\"{text}\"")
    } else {
        format!("'{text}'")
    }
}

fn from_base64(text: &str) -> Vec<u8> {
    use base64::Engine as _;
    base64::engine::general_purpose::STANDARD
        .decode(text)
        .unwrap()
}
