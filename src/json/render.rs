//! JSON as the text of a file: indented, but a list or object of plain values on one line, so that a row of
//! stitches is a line.

use serde_json::Value;

/// The text of a file for these patterns: one object for one pattern, an array for several. The last line ends.
pub fn render(mut patterns: Vec<Value>) -> String {
    let value = if patterns.len() == 1 { patterns.swap_remove(0) } else { Value::Array(patterns) };
    let mut text = String::new();
    put(&value, 0, &mut text);
    text.push('\n');
    text
}

fn put(value: &Value, depth: usize, out: &mut String) {
    match value {
        Value::Array(items) if !is_flat(value) => {
            let parts = items.iter().map(|item| (None, item));
            put_lines('[', ']', parts, depth, out);
        }
        Value::Object(fields) if !is_flat(value) => {
            let parts = fields.iter().map(|(key, item)| (Some(key), item));
            put_lines('{', '}', parts, depth, out);
        }
        flat => put_flat(flat, out),
    }
}

fn put_lines<'v>(
    open: char,
    close: char,
    parts: impl Iterator<Item = (Option<&'v String>, &'v Value)>,
    depth: usize,
    out: &mut String,
) {
    out.push(open);
    for (index, (key, value)) in parts.enumerate() {
        out.push_str(if index == 0 { "\n" } else { ",\n" });
        indent(depth + 1, out);
        if let Some(key) = key {
            put_key(key, out);
        }
        put(value, depth + 1, out);
    }
    out.push('\n');
    indent(depth, out);
    out.push(close);
}

fn put_flat(value: &Value, out: &mut String) {
    match value {
        Value::Array(items) => {
            out.push('[');
            for (index, item) in items.iter().enumerate() {
                out.push_str(if index == 0 { "" } else { ", " });
                put_flat(item, out);
            }
            out.push(']');
        }
        Value::Object(fields) => {
            out.push('{');
            for (index, (key, item)) in fields.iter().enumerate() {
                out.push_str(if index == 0 { "" } else { ", " });
                put_key(key, out);
                put_flat(item, out);
            }
            out.push('}');
        }
        plain => out.push_str(&plain.to_string()),
    }
}

fn put_key(key: &str, out: &mut String) {
    out.push_str(&Value::from(key).to_string());
    out.push_str(": ");
}

fn indent(depth: usize, out: &mut String) {
    out.extend(std::iter::repeat_n("  ", depth));
}

/// Whether the value takes one line: the pieces of the work of a row, and anything that holds plain values only.
fn is_flat(value: &Value) -> bool {
    match value {
        Value::Array(items) => items.iter().all(is_work),
        Value::Object(fields) => fields.values().all(is_plain) || is_work(value),
        _ => true,
    }
}

fn is_work(value: &Value) -> bool {
    match value {
        Value::Object(fields) => {
            fields.contains_key("times") && (fields.contains_key("stitch") || fields.contains_key("repeat"))
        }
        other => is_plain(other),
    }
}

fn is_plain(value: &Value) -> bool {
    !value.is_array() && !value.is_object()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_of_stitches_is_a_line() {
        let pattern: Value = serde_json::from_str(
            r#"{"title": "A", "chart": null, "rows": [{"number": 1, "stitches": ["k", "yo"],
                "work": [{"repeat": [{"stitch": "k", "times": 1}], "times": 2}]}], "findings": []}"#,
        )
        .unwrap();
        let text = render(vec![pattern.clone()]);
        assert_eq!(
            text,
            r#"{
  "title": "A",
  "chart": null,
  "rows": [
    {
      "number": 1,
      "stitches": ["k", "yo"],
      "work": [{"repeat": [{"stitch": "k", "times": 1}], "times": 2}]
    }
  ],
  "findings": []
}
"#
        );
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), pattern);
        assert_eq!(
            serde_json::from_str::<Value>(&render(vec![pattern.clone(), pattern.clone()])).unwrap()[1],
            pattern
        );
        assert_eq!(render(Vec::new()), "[]\n");
    }
}
