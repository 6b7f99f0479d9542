// JSON written straight into a text: for documents so many that building a tree first would be most of
// the time. Keys and texts are escaped; bytes that are not UTF-8 show as U+FFFD. Nothing checks the nesting.
#pragma once

#include <string>
#include <string_view>

namespace kb {

class JsonWriter {
 public:
  explicit JsonWriter(std::string& out) : out_(out) {}

  JsonWriter& open(char bracket) {  // '{' or '['
    separate();
    out_ += bracket;
    fresh_ = true;
    return *this;
  }
  JsonWriter& close(char bracket) {
    out_ += bracket;
    fresh_ = false;
    return *this;
  }
  JsonWriter& key(std::string_view name) {
    text(name);
    out_ += ':';
    fresh_ = true;
    return *this;
  }
  JsonWriter& text(std::string_view value);
  JsonWriter& text_or_null(std::string_view value) { return value.empty() ? raw("null") : text(value); }
  JsonWriter& number(long long value) { return raw(std::to_string(value)); }
  JsonWriter& truth(bool value) { return raw(value ? "true" : "false"); }
  // A value that is JSON already.
  JsonWriter& raw(std::string_view json) {
    separate();
    out_ += json;
    fresh_ = false;
    return *this;
  }

 private:
  void separate() {
    if (!fresh_) out_ += ',';
  }

  std::string& out_;
  bool fresh_ = true;  // No comma before what comes next.
};

}  // namespace kb
