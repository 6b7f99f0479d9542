#include "cli/input.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "kb/error.h"

namespace cli {
namespace {

// A descriptor that is closed again, unless it is standard input.
class Input {
 public:
  explicit Input(const std::string& path) : name_(path.empty() || path == "-" ? "standard input" : "'" + path + "'") {
    if (path.empty() || path == "-") return;
    fd_ = open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (fd_ < 0) throw kb::Error("cannot read " + name_ + ": " + std::strerror(errno) + "; give the note's file, or - for standard input");
  }
  ~Input() {
    if (fd_ > 0) close(fd_);
  }
  Input(const Input&) = delete;
  Input& operator=(const Input&) = delete;

  const std::string& name() const { return name_; }
  int descriptor() const { return fd_; }

 private:
  std::string name_;
  int fd_ = 0;
};

}  // namespace

std::string read_input(const std::string& path, std::size_t largest) {
  const Input input(path);
  struct stat info {};
  if (fstat(input.descriptor(), &info) == 0 && S_ISDIR(info.st_mode))
    throw kb::Error(input.name() + " is a folder; give the note's file, or - for standard input");
  std::string bytes;
  std::array<char, 1 << 16> part{};
  while (true) {
    const ssize_t n = read(input.descriptor(), part.data(), part.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) throw kb::Error("cannot read " + input.name() + ": " + std::strerror(errno) + "; give the note's file, or pipe the note in");
    if (n == 0) break;
    bytes.append(part.data(), static_cast<std::size_t>(n));
    if (bytes.size() > largest)
      throw kb::Error(input.name() + " is larger than " + std::to_string(largest >> 20) + " MiB; split it into several notes");
  }
  if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF"))
    throw kb::Error(input.name() + " is UTF-16; save it as UTF-8 and try again");
  return bytes;
}

bool input_is_terminal() { return isatty(STDIN_FILENO) == 1; }

}  // namespace cli
