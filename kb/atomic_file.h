// Files that are never half-written: given as bytes, or made by somebody else under another name.
//
// Expects SIGPIPE to be ignored where a pipe may be written to. One writing thread only: the signal
// handler knows one temporary file.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

namespace kb {

// A file that comes to be under a temporary name and takes the name of `target` when it is whole: for
// what SQLite writes. Only one at a time, and no write_file_atomically() meanwhile.
//
// The temporary is empty at first, hidden, and stands in the target's folder; its name, its mode, links
// and signals are as below. For a device, a pipe or a descriptor it stands in the system's folder for
// temporary files, and commit() copies it.
class AtomicFile {
 public:
  // Throws Error as write_file_atomically() does.
  explicit AtomicFile(const std::filesystem::path& target);
  ~AtomicFile();  // Without commit(): removes the temporary, and the target stays as it was.
  AtomicFile(const AtomicFile&) = delete;
  AtomicFile& operator=(const AtomicFile&) = delete;

  // The temporary's name, to be opened by whoever writes it, and closed before what follows.
  const std::string& path() const;
  // Calls `part` with all of its bytes in order, some KiB at a time.
  void read(const std::function<void(std::string_view)>& part) const;
  // Adds `bytes` at its end.
  void append(std::string_view bytes);
  // Syncs the temporary, asks `check` when there is one, and renames it. Throws Error; the target is
  // then as it was.
  void commit(const std::function<void(const std::string& path)>& check = {});
  // Throws the Error of a failed write: "cannot write 'out.db': REASON; choose another folder with -o".
  [[noreturn]] void refuse(std::string_view reason) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

// Writes all of `bytes` to a descriptor, also a non-blocking one. 0, or the system's error.
int write_to(int fd, std::string_view bytes);

// Makes `target` hold exactly `bytes`, or leaves it as it was.
//
// The bytes are written and synced under a hidden temporary name in the same folder
// (".<name>.<process>-<try>.tmp") and then renamed over the target, which keeps its mode; a new file
// gets the usual one. A symlink stays, and the file it points
// to is replaced or made. While this runs, SIGINT, SIGTERM and SIGHUP remove the temporary and then do
// what they did before. Devices and pipes are written directly, and so are /dev/stdout,
// /dev/stderr and /dev/fd/N, whatever stands behind them; a reader who left these is no failure, and
// the rest is dropped.
//
// Throws Error, after removing the temporary, when the target is a folder or write-protected, or the
// system refuses: "cannot write 'out.txt': No space left on device; choose another folder with -o".
void write_file_atomically(const std::filesystem::path& target, std::string_view bytes);

}  // namespace kb
