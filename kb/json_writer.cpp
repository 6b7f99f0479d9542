#include "kb/json_writer.h"

#include <array>

#include "kb/text.h"

namespace kb {

namespace {

// Bytes that stand for themselves.
constexpr std::array<bool, 256> kPlain = [] {
  std::array<bool, 256> out{};
  for (std::size_t c = 0x20; c < out.size(); ++c) out[c] = c != '"' && c != '\\';
  return out;
}();

}  // namespace

JsonWriter& JsonWriter::text(std::string_view value) {
  separate();
  fresh_ = false;
  std::string mended;
  if (!valid_utf8(value)) {
    mended = to_valid_utf8(value);
    value = mended;
  }
  static constexpr char kHex[] = "0123456789abcdef";
  out_ += '"';
  std::size_t copied = 0;
  for (std::size_t i = 0; i < value.size(); ++i) {
    const auto c = static_cast<unsigned char>(value[i]);
    if (kPlain[c]) continue;
    out_.append(value, copied, i - copied);
    copied = i + 1;
    switch (c) {
      case '"': out_ += "\\\""; break;
      case '\\': out_ += "\\\\"; break;
      case '\b': out_ += "\\b"; break;
      case '\f': out_ += "\\f"; break;
      case '\n': out_ += "\\n"; break;
      case '\r': out_ += "\\r"; break;
      case '\t': out_ += "\\t"; break;
      default:
        out_ += "\\u00";
        out_ += kHex[c >> 4];
        out_ += kHex[c & 15];
    }
  }
  out_.append(value, copied);
  out_ += '"';
  return *this;
}

}  // namespace kb
