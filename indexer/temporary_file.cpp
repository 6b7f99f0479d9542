#include "indexer/temporary_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include "kb/error.h"

namespace indexer {
namespace {

namespace fs = std::filesystem;

constexpr std::array kSignals{SIGINT, SIGTERM, SIGHUP};

// What the signal handler may touch: the names of the file and of SQLite's journal beside it.
std::array<char, 4096> doomed{};
std::array<char, 4096> doomed_journal{};

extern "C" void remove_and_end(int signal) {
  unlink(doomed.data());
  unlink(doomed_journal.data());
  std::signal(signal, SIG_DFL);
  std::raise(signal);
}

using Handler = void (*)(int);
std::array<Handler, kSignals.size()> previous{};

void guard(const std::string& path) {
  const std::string journal = path + "-journal";
  if (journal.size() >= doomed.size()) {
    unlink(path.c_str());
    throw kb::Error("the path '" + path + "' is too long; give -o a shorter one");
  }
  path.copy(doomed.data(), path.size());
  journal.copy(doomed_journal.data(), journal.size());
  for (std::size_t i = 0; i < kSignals.size(); ++i) {
    previous[i] = std::signal(kSignals[i], remove_and_end);
    if (previous[i] == SIG_IGN) std::signal(kSignals[i], SIG_IGN);  // As under nohup.
  }
}

void unguard() {
  for (std::size_t i = 0; i < kSignals.size(); ++i)
    if (previous[i] != SIG_ERR) std::signal(kSignals[i], previous[i]);
  doomed.fill(0);
  doomed_journal.fill(0);
}

// Holds signals back while a file comes and its name is noted: one in between would leave it behind.
class SignalsHeld {
 public:
  SignalsHeld() {
    sigset_t held;
    sigemptyset(&held);
    for (const int signal : kSignals) sigaddset(&held, signal);
    sigprocmask(SIG_BLOCK, &held, &before_);
  }
  ~SignalsHeld() { sigprocmask(SIG_SETMASK, &before_, nullptr); }
  SignalsHeld(const SignalsHeld&) = delete;
  SignalsHeld& operator=(const SignalsHeld&) = delete;

 private:
  sigset_t before_{};
};

// Closes a descriptor at the end of a scope.
class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  ~Descriptor() {
    if (fd_ >= 0) close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int get() const { return fd_; }

 private:
  int fd_;
};

bool write_all(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = write(fd, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

// The permissions of the file that is replaced, or those a new file gets.
mode_t mode_for(const std::string& target) {
  struct stat info {};
  if (stat(target.c_str(), &info) == 0) return info.st_mode & 07777;
  const mode_t mask = umask(0);
  umask(mask);
  return 0666 & ~mask;
}

}  // namespace

TemporaryFile::TemporaryFile(const std::string& target) : target_(target) {
  std::error_code code;
  if (fs::is_symlink(target, code)) target_ = fs::weakly_canonical(target, code).string();
  if (fs::is_directory(target_, code))
    throw kb::Error("'" + target + "' is a folder; give -o the name of a file");
  if (fs::exists(target_, code) && !fs::is_regular_file(target_, code))
    throw kb::Error("'" + target + "' is no regular file; give -o the name of a file");
  folder_ = fs::path(target_).parent_path().string();
  if (folder_.empty()) folder_ = ".";
  path_ = folder_ + "/.letbe-index-XXXXXX";
  const SignalsHeld held;
  const int fd = mkostemp(path_.data(), O_CLOEXEC);
  if (fd < 0) fail("cannot write in its folder");
  close(fd);
  guard(path_);
}

TemporaryFile::~TemporaryFile() {
  if (!kept_) {
    unlink(path_.c_str());
    unlink((path_ + "-journal").c_str());
  }
  unguard();
}

void TemporaryFile::fail(const char* doing) const {
  throw kb::Error("cannot write '" + target_ + "': " + doing + ": " + std::strerror(errno) +
                  "; check the folder and the space on its disk");
}

void TemporaryFile::append(std::string_view bytes) const {
  const Descriptor file(open(path_.c_str(), O_WRONLY | O_APPEND | O_CLOEXEC));
  if (file.get() < 0 || !write_all(file.get(), bytes)) fail("cannot add to the new file");
}

void TemporaryFile::keep() {
  const Descriptor file(open(path_.c_str(), O_WRONLY | O_CLOEXEC));
  if (file.get() < 0 || fchmod(file.get(), mode_for(target_)) != 0 || fsync(file.get()) != 0)
    fail("cannot finish the new file");
  if (rename(path_.c_str(), target_.c_str()) != 0) fail("cannot rename the new file");
  kept_ = true;
  const Descriptor folder(open(folder_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (folder.get() < 0 || fsync(folder.get()) != 0) fail("cannot sync its folder");
}

}  // namespace indexer
