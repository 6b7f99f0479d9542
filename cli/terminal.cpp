#include "cli/terminal.h"

#include <sys/ioctl.h>
#include <unistd.h>
#include <utf8proc.h>

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <system_error>

namespace cli {
namespace {

constexpr int kDefaultWidth = 80;
constexpr int kLeastWidth = 40;
constexpr int kMostWidth = 100;
constexpr std::int32_t kInvalid = -1;
constexpr std::string_view kReplacement = "\uFFFD";

struct CodePoint {
  std::int32_t value;  // kInvalid for a byte that starts no valid sequence.
  std::size_t length;  // In bytes, at least 1.
};

CodePoint first_code_point(std::string_view text) {
  utf8proc_int32_t value = kInvalid;
  const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                       static_cast<utf8proc_ssize_t>(text.size()), &value);
  if (length <= 0) return {kInvalid, 1};
  return {value, static_cast<std::size_t>(length)};
}

bool drives_terminals(std::int32_t c) {
  return (c < 0x20 && c != '\n' && c != '\t') || (c >= 0x7F && c <= 0x9F);
}

std::string environment(const char* name) {
  const char* value = std::getenv(name);
  return value != nullptr ? value : "";
}

int columns_from_environment() {
  const std::string text = environment("COLUMNS");
  int columns = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), columns);
  const bool whole = error == std::errc() && end == text.data() + text.size();
  return whole && columns > 0 ? columns : kDefaultWidth;
}

int columns_of(int fd) {
  winsize size{};
  // Serial lines and some containers report a window of no columns.
  if (ioctl(fd, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) return size.ws_col;
  return columns_from_environment();
}

std::string styled(std::string_view text, std::string_view on, std::string_view off,
                   const Terminal& terminal) {
  std::string result(text);
  if (!terminal.color || text.empty()) return result;
  return result.insert(0, on).append(off);
}

}  // namespace

Terminal describe_terminal(int fd) {
  Terminal terminal;
  terminal.tty = isatty(fd) == 1;
  const std::string term = environment("TERM");
  terminal.color =
      terminal.tty && environment("NO_COLOR").empty() && !term.empty() && term != "dumb";
  terminal.width = std::clamp(columns_of(fd), kLeastWidth, kMostWidth);
  return terminal;
}

// Each style is ended by its own code and not by a full reset, so that styles nest.
std::string bold(std::string_view text, const Terminal& terminal) {
  return styled(text, "\033[1m", "\033[22m", terminal);
}

std::string dim(std::string_view text, const Terminal& terminal) {
  return styled(text, "\033[2m", "\033[22m", terminal);
}

std::string italic(std::string_view text, const Terminal& terminal) {
  return styled(text, "\033[3m", "\033[23m", terminal);
}

std::string underline(std::string_view text, const Terminal& terminal) {
  return styled(text, "\033[4m", "\033[24m", terminal);
}

std::string heading(std::string_view text, const Terminal& terminal) {
  return styled(text, "\033[1;36m", "\033[22;39m", terminal);
}

std::string warning(std::string_view text, const Terminal& terminal) {
  return styled(text, "\033[1;33m", "\033[22;39m", terminal);
}

std::string sanitize_for_terminal(std::string_view text) {
  std::string safe;
  safe.reserve(text.size());
  while (!text.empty()) {
    const CodePoint c = first_code_point(text);
    const bool hidden = c.value == kInvalid || drives_terminals(c.value);
    safe += hidden ? kReplacement : text.substr(0, c.length);
    text.remove_prefix(c.length);
  }
  return safe;
}

int display_width(std::string_view text) {
  int width = 0;
  while (!text.empty()) {
    const CodePoint c = first_code_point(text);
    width += c.value == kInvalid ? 1 : utf8proc_charwidth(c.value);
    text.remove_prefix(c.length);
  }
  return width;
}

}  // namespace cli
