//! The page of a problem, as `longhand explain` shows it, within a report.

use longhand::problem::Code;
use pulldown_cmark::{Event, Parser, Tag, TagEnd, html};

/// What stands under the title of a problem's page.
pub fn explained(code: Code) -> String {
    let mut in_title = false;
    let body = Parser::new(code.page()).filter_map(move |event| match event {
        Event::Start(Tag::Heading { .. }) => {
            in_title = true;
            None
        }
        Event::End(TagEnd::Heading(_)) => {
            in_title = false;
            None
        }
        _ if in_title => None,
        // The pages are text; where one shows a `<`, it means it.
        Event::Html(text) | Event::InlineHtml(text) => Some(Event::Text(text)),
        event => Some(event),
    });
    let mut out = String::new();
    html::push_html(&mut out, body);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_keeps_its_words() {
        let page = explained(Code::CountMismatch);
        assert!(page.starts_with("<p>Every row uses the stitches"), "{page}");
        assert!(page.contains("<pre><code>scarf.xlsx\n  error count-mismatch"), "{page}");
        assert!(!page.contains("<h"), "{page}");
    }

    /// Markdown has marks of its own, and so has knitting: an asterisk must not become emphasis.
    #[test]
    fn no_page_has_marks_it_does_not_mean() {
        for &code in Code::ALL {
            let page = explained(code);
            for mark in ["<em>", "<strong>", "<a ", "<img", "<hr"] {
                assert!(!page.contains(mark), "{code}: {mark}\n{page}");
            }
        }
    }
}
