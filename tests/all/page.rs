//! The page as it is served: every file embedded, its headers, and nothing from elsewhere.
//!
//! Leans on actix-web's in-process service and on the folder of the page. Leaves to others: what
//! it does in a browser (`tests/page`).

use std::collections::BTreeSet;
use std::sync::{Arc, LazyLock};

use actix_web::http::header;
use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use stead::ask::Engine;
use stead::http::page::{FILES, POLICY};

use crate::root;

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

/// Status, some headers by name, and the body.
fn get(path: &str, held: Option<&str>) -> (u16, impl Fn(&str) -> String + use<>, String) {
    let (status, headers, body) = System::new().block_on(async {
        let app = init_service(stead::http::app(Arc::clone(&ENGINE))).await;
        let mut request = TestRequest::get().uri(path);
        if let Some(tag) = held {
            request = request.insert_header((header::IF_NONE_MATCH, tag));
        }
        let reply = call_service(&app, request.to_request()).await;
        let (status, headers) = (reply.status().as_u16(), reply.headers().clone());
        (status, headers, String::from_utf8(read_body(reply).await.to_vec()).expect("text"))
    });
    let header = move |name: &str| headers.get(name).map_or("", |v| v.to_str().expect("text")).to_string();
    (status, header, body)
}

#[test]
fn every_file_of_the_folder_is_embedded() {
    let folder = root().join("src/http/page");
    let there: BTreeSet<String> = std::fs::read_dir(folder)
        .expect("the folder of the page")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    let embedded: BTreeSet<String> = FILES.iter().map(|f| f.name.to_string()).collect();
    assert_eq!(embedded.len(), FILES.len(), "a name stands twice");
    let missing: Vec<_> = there.difference(&embedded).collect();
    assert!(missing.is_empty(), "not embedded: {missing:?}");
}

#[test]
fn every_file_is_served_with_its_type_and_a_strict_policy() {
    for file in FILES {
        let (status, header, body) = get(&format!("/page/{}", file.name), None);
        assert_eq!((status, body.as_str()), (200, file.text), "{}", file.name);
        let media = match file.name.rsplit_once('.').expect("an ending").1 {
            "html" => "text/html; charset=utf-8",
            "css" => "text/css; charset=utf-8",
            "js" => "text/javascript; charset=utf-8",
            "svg" => "image/svg+xml",
            "csv" => "text/csv; charset=utf-8",
            other => panic!("no media type for {other}"),
        };
        assert_eq!(header("content-type"), media);
        assert_eq!(header("content-security-policy"), POLICY);
        assert_eq!(header("x-content-type-options"), "nosniff");
    }
    let (status, header, body) = get("/", None);
    assert_eq!((status, header("content-type").as_str()), (200, "text/html; charset=utf-8"));
    assert!(body.starts_with("<!doctype html>"));
}

#[test]
fn a_file_that_is_held_already_is_not_sent_again() {
    let mut tags = BTreeSet::new();
    for file in FILES {
        let path = format!("/page/{}", file.name);
        let tag = get(&path, None).1("etag");
        assert!(tag.starts_with('"') && tag.ends_with('"') && tag.len() > 2, "{tag:?} is no strong tag");
        let (status, header, body) = get(&path, Some(&tag));
        assert_eq!((status, header("etag"), body.as_str()), (304, tag.clone(), ""));
        assert_eq!(get(&path, Some("\"another\"")).0, 200);
        assert!(tags.insert(tag), "{} shares its tag", file.name);
    }
}

#[test]
fn a_file_that_is_not_there_names_the_nearest() {
    let (status, _, body) = get("/page/swop.js", None);
    assert_eq!(status, 404);
    assert!(body.contains("/page/swap.js"), "{body}");
}

/// Addresses that stand in a text and lead to another origin. The name of a drawing's language is
/// a name and no address to load.
fn outside(text: &str) -> Vec<&str> {
    let known = ["http://www.w3.org/2000/svg"];
    text.split(['"', '\'', '`', '(', ')', ' ', '\n', '<', '>'])
        .filter(|word| word.contains("://") || word.starts_with("//") && word.len() > 2 && !word.ends_with("//"))
        .filter(|word| !known.contains(word))
        .collect()
}

#[test]
fn the_page_refers_to_nothing_outside_its_origin() {
    assert_eq!(outside("a \"https://example.org/x.js\" b"), ["https://example.org/x.js"]);
    assert_eq!(outside("url(//example.org/x.css)"), ["//example.org/x.css"]);
    for file in FILES {
        assert_eq!(outside(file.text), Vec::<&str>::new(), "{}", file.name);
    }
}

#[test]
fn everything_that_the_files_name_is_there() {
    let mut named = 0;
    for file in FILES {
        let from_root = file.text.split("/page/").skip(1);
        let beside = file.text.split("from \"./").skip(1);
        for rest in from_root.chain(beside) {
            let name: String = rest.chars().take_while(|c| c.is_ascii_alphanumeric() || "-.".contains(*c)).collect();
            assert!(FILES.iter().any(|f| f.name == name), "{} names {name:?}", file.name);
            named += 1;
        }
    }
    assert!(named > FILES.len());
}

#[test]
fn the_markup_holds_no_script_and_no_style() {
    let page = FILES.first().expect("the page").text;
    for wrong in ["<style", "style=", "onclick=", "onload=", "javascript:"] {
        assert!(!page.contains(wrong), "the page has {wrong:?}");
    }
    assert_eq!(page.matches("<script").count(), 1);
    assert!(page.contains(r#"<script type="module" src="/page/app.js"></script>"#));
}
