// Folders, files and descriptors for the tests that write: one scratch folder a test, and what it holds.
#pragma once

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iostream>
#include <iterator>
#include <string>

#include "kb/atomic_file.h"
#include "kb/error.h"

namespace fs = std::filesystem;

inline constexpr uid_t kNobody = 65534;

class Folder {
 public:
  Folder() {
    std::string name = (fs::temp_directory_path() / "output-test-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    fs::permissions(path_, fs::perms::owner_all, ignored);
    fs::remove_all(path_, ignored);
  }

  fs::path operator/(const std::string& name) const { return path_ / name; }
  const fs::path& path() const { return path_; }
  std::size_t count() const {
    return static_cast<std::size_t>(
        std::distance(fs::directory_iterator(path_), fs::directory_iterator()));
  }
  bool holds_temporary() const {
    for (const auto& entry : fs::directory_iterator(path_)) {
      if (entry.path().extension() == ".tmp") return true;
    }
    return false;
  }

 private:
  fs::path path_;
};

inline std::string read(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

inline void put(const fs::path& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

inline mode_t mode_of(const fs::path& path) {
  struct stat found {};
  REQUIRE(stat(path.c_str(), &found) == 0);
  return found.st_mode & 07777;
}

// The message of the kb::Error that `action` throws, empty when it throws none.
inline std::string refusal(const std::function<void()>& action) {
  try {
    action();
  } catch (const kb::Error& error) {
    return error.what();
  }
  return "";
}

inline std::string refusal_to_write(const fs::path& target, const std::string& bytes = "new") {
  return refusal([&] { kb::write_file_atomically(target, bytes); });
}

// Runs `action` with descriptor 1 on `fd`, or closed (-1). Nothing may be checked inside, because
// the report would go there too.
inline void with_stdout(int fd, const std::function<void()>& action) {
  std::cout.flush();
  std::fflush(stdout);
  const int before = dup(STDOUT_FILENO);
  if (fd >= 0) dup2(fd, STDOUT_FILENO);
  if (fd < 0) close(STDOUT_FILENO);
  action();
  dup2(before, STDOUT_FILENO);
  close(before);
}

// Ignores one signal, as the program does with SIGPIPE, until the end of the scope.
class Ignored {
 public:
  explicit Ignored(int signal) : signal_(signal), before_(std::signal(signal, SIG_IGN)) {}
  Ignored(const Ignored&) = delete;
  Ignored& operator=(const Ignored&) = delete;
  ~Ignored() { std::signal(signal_, before_); }

 private:
  int signal_;
  void (*before_)(int);
};
