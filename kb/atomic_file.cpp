#include "kb/atomic_file.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <charconv>
#include <csignal>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <system_error>
#include <utility>

#include "kb/error.h"
#include "kb/text.h"

namespace kb {
namespace {

namespace fs = std::filesystem;

constexpr const char* kElsewhere = "choose another folder with -o";
constexpr int kMostLinks = 40;  // As many as Linux follows.
constexpr int kMostTemporaries = 1000;
constexpr std::size_t kMostNameBytes = 200;  // Of 255, to leave room for the rest of the name.
constexpr std::array<int, 3> kSignals = {SIGINT, SIGTERM, SIGHUP};

std::string reason(int error) { return std::generic_category().message(error); }

std::string quoted(const fs::path& path) {
  std::string name;  // An error is one line, and drives no terminal.
  for (const char c : to_valid_utf8(path.string())) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < ' ' || byte == 0x7F) {
      name += "\xEF\xBF\xBD";
    } else {
      name += c;
    }
  }
  return "'" + name + "'";
}

[[noreturn]] void refuse_target(const fs::path& target, std::string_view why, const std::string& advice) {
  throw Error("cannot write " + quoted(target) + ": " + std::string(why) + "; " + advice);
}

[[noreturn]] void fail(const fs::path& target, int error) {
  std::string advice = kElsewhere;
  if (error == EISDIR) advice = "name a file in it with -o";
  if (error == ENOENT) advice = "make the folder first or choose another with -o";
  refuse_target(target, reason(error), advice);
}

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { close_now(); }

  int get() const { return fd_; }
  // 0 or the error: some file systems report a failed write only here. EINTR has closed it too.
  int close_now() {
    const int fd = std::exchange(fd_, -1);
    return fd >= 0 && close(fd) != 0 && errno != EINTR ? errno : 0;
  }

 private:
  int fd_;
};

int open_again(const char* path, int flags, mode_t mode = 0) {
  int fd = -1;
  do {
    fd = open(path, flags | O_CLOEXEC | O_NOCTTY, mode);
  } while (fd < 0 && errno == EINTR);
  return fd;
}

// The descriptor that a name such as /dev/stdout stands for. It is used itself, because opening the
// name again would write over what the file behind it already holds.
std::optional<int> descriptor_named(const fs::path& path) {
  const std::string name = path.lexically_normal().string();
  if (name == "/dev/stdout") return STDOUT_FILENO;
  if (name == "/dev/stderr") return STDERR_FILENO;
  for (const std::string_view folder : {"/dev/fd/", "/proc/self/fd/"}) {
    if (!name.starts_with(folder)) continue;
    int fd = -1;
    const char* end = name.data() + name.size();
    const auto [stop, error] = std::from_chars(name.data() + folder.size(), end, fd);
    if (error == std::errc() && stop == end && fd >= 0) return fd;
  }
  return std::nullopt;
}

// The file behind `target` when that is a symlink, also one that points to nothing yet. Stops at a
// descriptor's name.
fs::path resolve(const fs::path& target) {
  fs::path path = target;
  for (int links = 0; !descriptor_named(path); ++links) {
    std::error_code error;
    const fs::path next = fs::read_symlink(path, error);
    if (error == std::errc::invalid_argument || error == std::errc::no_such_file_or_directory) {
      return path;  // Not a symlink, or nothing there.
    }
    if (error) fail(target, error.value());
    if (links == kMostLinks) fail(target, ELOOP);
    path = path.parent_path() / next;
  }
  return path;
}

// What the signal handler has to remove, null when there is nothing.
std::atomic<const char*> g_temporary{nullptr};
static_assert(std::atomic<const char*>::is_always_lock_free, "the signal handler reads it");
std::array<struct sigaction, kSignals.size()> g_previous;

// Async-signal-safe: an atomic, unlink, sigaction and raise. The signal comes back, as it came
// before this file took an interest, as soon as the handler returns.
void remove_and_raise(int signal) {
  const int error = errno;
  if (const char* path = g_temporary.exchange(nullptr)) unlink(path);
  for (std::size_t i = 0; i < kSignals.size(); ++i) {
    if (kSignals[i] == signal) sigaction(signal, &g_previous[i], nullptr);
  }
  raise(signal);
  errno = error;
}

class SignalHandlers {
 public:
  SignalHandlers() {
    struct sigaction ours {};
    ours.sa_handler = remove_and_raise;
    sigemptyset(&ours.sa_mask);
    for (std::size_t i = 0; i < kSignals.size(); ++i) {
      sigaction(kSignals[i], nullptr, &g_previous[i]);
      // A program started with nohup goes on ignoring.
      if (g_previous[i].sa_handler != SIG_IGN) sigaction(kSignals[i], &ours, nullptr);
    }
  }
  SignalHandlers(const SignalHandlers&) = delete;
  SignalHandlers& operator=(const SignalHandlers&) = delete;
  ~SignalHandlers() {
    for (std::size_t i = 0; i < kSignals.size(); ++i) {
      sigaction(kSignals[i], &g_previous[i], nullptr);
    }
  }
};

// Holds signals back while a file and its entry in g_temporary come or go together.
class SignalsHeld {
 public:
  SignalsHeld() {
    sigset_t held;
    sigemptyset(&held);
    for (const int signal : kSignals) sigaddset(&held, signal);
    pthread_sigmask(SIG_BLOCK, &held, &before_);
  }
  SignalsHeld(const SignalsHeld&) = delete;
  SignalsHeld& operator=(const SignalsHeld&) = delete;
  ~SignalsHeld() { pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

 private:
  sigset_t before_;
};

fs::path folder_of(const fs::path& file) {
  return file.has_parent_path() ? file.parent_path() : fs::path(".");
}

// A new file beside `file`, removed by the destructor unless it was renamed. get() is -1 and errno
// set when none could be made.
class Temporary {
 public:
  Temporary(const fs::path& file, mode_t mode) {
    const std::string name = "." + file.filename().string().substr(0, kMostNameBytes) + "." +
                             std::to_string(getpid()) + "-";
    for (int attempt = 0; attempt < kMostTemporaries; ++attempt) {
      path_ = (folder_of(file) / (name + std::to_string(attempt) + ".tmp")).string();
      const SignalsHeld held;
      fd_ = open_again(path_.c_str(), O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW, mode);
      if (fd_ >= 0) g_temporary = path_.c_str();
      if (fd_ >= 0 || errno != EEXIST) return;
    }
  }
  Temporary(const Temporary&) = delete;
  Temporary& operator=(const Temporary&) = delete;
  ~Temporary() {
    const SignalsHeld held;
    if (g_temporary.exchange(nullptr) != nullptr) unlink(path_.c_str());
  }

  int get() const { return fd_; }  // Closed by the caller.
  const std::string& path() const { return path_; }
  int rename_to(const fs::path& file) {
    const SignalsHeld held;
    if (rename(path_.c_str(), file.c_str()) != 0) return errno;
    g_temporary = nullptr;
    return 0;
  }

 private:
  std::string path_;
  int fd_ = -1;
};

// 0 or the error. A rename lasts through a power cut only once its folder is synced; folders that
// cannot be read or synced are left to the system.
int sync_folder(const fs::path& folder) {
  const Descriptor fd(open_again(folder.c_str(), O_RDONLY | O_DIRECTORY));
  if (fd.get() < 0 || fsync(fd.get()) == 0) return 0;
  return errno == EINVAL || errno == ENOTSUP ? 0 : errno;
}

// A temporary for `file` from its making to its renaming. `mode` is that of the file to replace, if
// there is one.
class Replacement {
 public:
  // Until it has the mode of what it replaces, nobody else may look into it.
  Replacement(const fs::path& file, std::optional<mode_t> mode)
      : file_(file), mode_(mode), temporary_(file, mode ? 0600 : 0666), fd_(temporary_.get()) {}

  int get() const { return fd_.get(); }  // -1 and errno set when there is none.
  const std::string& path() const { return temporary_.path(); }
  // 0 or the error. Everything is written and the mode set, and nothing is renamed.
  int close_written() {
    if (mode_ && fchmod(get(), *mode_) != 0) return errno;
    return fsync(get()) != 0 ? errno : fd_.close_now();
  }
  int take_place() {
    if (const int error = temporary_.rename_to(file_)) return error;
    return sync_folder(folder_of(file_));
  }

 private:
  SignalHandlers handlers_;
  fs::path file_;
  std::optional<mode_t> mode_;
  Temporary temporary_;
  Descriptor fd_;
};

// 0 or the error.
int replace(const fs::path& file, std::string_view bytes, std::optional<mode_t> mode) {
  Replacement made(file, mode);
  if (made.get() < 0) return errno;
  if (const int error = write_to(made.get(), bytes)) return error;
  if (const int error = made.close_written()) return error;
  return made.take_place();
}

int write_directly(const fs::path& file, std::string_view bytes) {
  Descriptor fd(open_again(file.c_str(), O_WRONLY));
  if (fd.get() < 0) return errno;
  if (const int error = write_to(fd.get(), bytes)) return error;
  return fd.close_now();
}

// How `file`, behind whose name no link stands, can be written.
struct Way {
  enum class Kind : std::uint8_t { replace, directly, descriptor };
  Kind kind = Kind::replace;
  std::optional<mode_t> mode;  // Of the file to replace.
  int fd = -1;                 // Of a descriptor.
};

// 0 or the error.
int find_way(const fs::path& file, Way& way) {
  if (const auto fd = descriptor_named(file)) {
    way = {Way::Kind::descriptor, {}, *fd};
    return 0;
  }
  struct stat found {};
  if (stat(file.c_str(), &found) != 0) {
    if (errno != ENOENT) return errno;
    return !file.empty() && !file.has_filename() ? EISDIR : 0;  // "new-folder/"
  }
  if (S_ISDIR(found.st_mode)) return EISDIR;
  way.kind = S_ISREG(found.st_mode) ? Way::Kind::replace : Way::Kind::directly;
  if (way.kind == Way::Kind::directly) return 0;
  way.mode = found.st_mode & 0777;
  // A rename would not ask, but somebody protected this file.
  return faccessat(AT_FDCWD, file.c_str(), W_OK, AT_EACCESS) != 0 ? errno : 0;
}

// 0 or the error.
int write_resolved(const fs::path& file, std::string_view bytes) {
  Way way;
  if (const int error = find_way(file, way)) return error;
  if (way.kind == Way::Kind::descriptor) return write_to(way.fd, bytes);
  return way.kind == Way::Kind::directly ? write_directly(file, bytes) : replace(file, bytes, way.mode);
}

void refuse_nameless(const fs::path& target) {
  if (target.empty()) throw Error("cannot write '': it is no file name; name a file with -o");
}

}  // namespace

int write_to(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = write(fd, bytes.data(), bytes.size());
    if (written >= 0) {
      bytes.remove_prefix(static_cast<std::size_t>(written));
    } else if (errno == EAGAIN) {
      pollfd ready{fd, POLLOUT, 0};
      poll(&ready, 1, -1);
    } else if (errno != EINTR) {
      return errno;
    }
  }
  return 0;
}

void write_file_atomically(const std::filesystem::path& target, std::string_view bytes) {
  refuse_nameless(target);
  const int error = write_resolved(resolve(target), bytes);
  if (error != 0 && error != EPIPE) fail(target, error);
}

struct AtomicFile::Parts {
  fs::path target;
  fs::path file;  // What the target's links lead to.
  Way way;
  std::optional<Replacement> made;

  void made_or_fail(int error) const {
    if (error != 0 && error != EPIPE) fail(target, error);
  }
  // Where the temporary stands: beside the file, or anywhere when it is only copied.
  fs::path model() const {
    return way.kind == Way::Kind::replace ? file : fs::temp_directory_path() / "letbe";
  }
};

AtomicFile::AtomicFile(const fs::path& target) : parts_(std::make_unique<Parts>()) {
  refuse_nameless(target);
  Parts& parts = *parts_;
  parts.target = target;
  parts.file = resolve(target);
  parts.made_or_fail(find_way(parts.file, parts.way));
  parts.made.emplace(parts.model(), parts.way.mode);
  if (parts.made->get() < 0) fail(target, errno);
}

AtomicFile::~AtomicFile() = default;

const std::string& AtomicFile::path() const { return parts_->made->path(); }

void AtomicFile::read(const std::function<void(std::string_view)>& part) const {
  std::array<char, 1 << 16> bytes{};
  for (off_t at = 0;;) {
    const ssize_t got = pread(parts_->made->get(), bytes.data(), bytes.size(), at);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) fail(parts_->target, errno);
    if (got == 0) return;
    part({bytes.data(), static_cast<std::size_t>(got)});
    at += got;
  }
}

void AtomicFile::append(std::string_view bytes) {
  const int fd = parts_->made->get();
  if (lseek(fd, 0, SEEK_END) < 0) fail(parts_->target, errno);
  parts_->made_or_fail(write_to(fd, bytes));
}

void AtomicFile::commit(const std::function<void(const std::string& path)>& check) {
  Parts& parts = *parts_;
  if (parts.way.kind == Way::Kind::replace) {
    parts.made_or_fail(parts.made->close_written());
    if (check) check(path());
    parts.made_or_fail(parts.made->take_place());
    return;
  }
  if (check) check(path());
  const bool open = parts.way.kind == Way::Kind::directly;
  Descriptor own(open ? open_again(parts.file.c_str(), O_WRONLY) : -1);
  if (open && own.get() < 0) fail(parts.target, errno);
  read([&](std::string_view part) { parts.made_or_fail(write_to(open ? own.get() : parts.way.fd, part)); });
  parts.made_or_fail(own.close_now());
}

void AtomicFile::refuse(std::string_view reason) const { refuse_target(parts_->target, reason, kElsewhere); }

}  // namespace kb
