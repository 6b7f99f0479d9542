// A file that is written under another name first and takes its own name only when it is whole.
#pragma once

#include <string>
#include <string_view>

namespace indexer {

// One at a time: signals (SIGINT, SIGTERM, SIGHUP) remove it before they end the program.
class TemporaryFile {
 public:
  // Makes a new empty file in the folder of `target`. Throws kb::Error when that folder cannot be
  // written or `target` is something other than a file.
  explicit TemporaryFile(const std::string& target);
  // Removes it unless keep() was called.
  ~TemporaryFile();
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  const std::string& path() const { return path_; }
  // Writes `bytes` behind what is there. Throws kb::Error.
  void append(std::string_view bytes) const;
  // Gives it the target's permissions, syncs it, renames it over the target and syncs the folder.
  // Throws kb::Error; the target is then as it was.
  void keep();

 private:
  [[noreturn]] void fail(const char* doing) const;

  std::string target_;
  std::string folder_;
  std::string path_;
  bool kept_ = false;
};

}  // namespace indexer
