#include "cli/input.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <string_view>

#include "kb/error.h"

namespace cli {
namespace {

constexpr std::size_t kPart = std::size_t{1} << 16;

}  // namespace

Input::Input(const std::string& path) : name_(path.empty() || path == "-" ? "standard input" : "'" + path + "'") {
  if (!path.empty() && path != "-") {
    fd_ = open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (fd_ < 0) throw kb::Error("cannot read " + name_ + ": " + std::strerror(errno) + "; give the note's file, or - for standard input");
  }
  struct stat info {};
  if (fstat(fd_, &info) != 0) return;
  if (S_ISDIR(info.st_mode)) {
    if (fd_ > 0) close(fd_);
    throw kb::Error(name_ + " is a folder; give the note's file, or - for standard input");
  }
  if (S_ISREG(info.st_mode)) size_ = static_cast<std::size_t>(info.st_size);
}

Input::~Input() {
  if (fd_ > 0) close(fd_);
}

std::size_t Input::read(char* into, std::size_t size) {
  while (true) {
    const ssize_t n = ::read(fd_, into, size);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) throw kb::Error("cannot read " + name_ + ": " + std::strerror(errno) + "; give the note's file, or pipe the note in");
    const auto got = static_cast<std::size_t>(n);
    const std::string_view part(into, got);
    if (bytes_read_ == 0 && (part.starts_with("\xFF\xFE") || part.starts_with("\xFE\xFF")))
      throw kb::Error(name_ + " is UTF-16; save it as UTF-8 and try again");
    bytes_read_ += got;
    return got;
  }
}

std::string read_input(const std::string& path, std::size_t largest) {
  Input input(path);
  std::string bytes;
  const auto refuse_larger = [&](std::size_t size) {
    if (size > largest) throw kb::Error(input.name() + " is larger than " + std::to_string(largest >> 20) + " MiB; split it into several notes");
  };
  refuse_larger(input.size().value_or(0));
  // One stretch of memory for a file, so that a large one is not copied as it grows.
  if (input.size()) bytes.reserve(std::min(*input.size(), largest) + kPart);
  while (true) {
    const std::size_t had = bytes.size();
    bytes.resize(had + kPart);
    const std::size_t got = input.read(bytes.data() + had, kPart);
    bytes.resize(had + got);
    if (got == 0) return bytes;
    refuse_larger(bytes.size());
  }
}

bool input_is_terminal() { return isatty(STDIN_FILENO) == 1; }

}  // namespace cli
