// Files that are never half-written.
//
// Expects SIGPIPE to be ignored where a pipe may be written to. One writing thread only: the signal
// handler knows one temporary file.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

namespace kb {

// Looks at the finished temporary file before it takes its name; throws to refuse it.
using FileCheck = std::function<void(const std::string& path)>;

// Writes all of `bytes` to a descriptor, also a non-blocking one. 0, or the system's error.
int write_to(int fd, std::string_view bytes);

// Makes `target` hold exactly `bytes`, or leaves it as it was.
//
// The bytes are written and synced under a hidden temporary name in the same folder
// (".<name>.<process>-<try>.tmp"), given to `check` when there is one, and then renamed over the
// target, which keeps its mode; a new file gets the usual one. A symlink stays, and the file it points
// to is replaced or made. While this runs, SIGINT, SIGTERM and SIGHUP remove the temporary and then do
// what they did before. Devices and pipes are written directly and unchecked, and so are /dev/stdout,
// /dev/stderr and /dev/fd/N, whatever stands behind them; a reader who left these is no failure, and
// the rest is dropped.
//
// Throws Error, after removing the temporary, when the target is a folder or write-protected, or the
// system refuses: "cannot write 'out.txt': No space left on device; choose another folder with -o".
void write_file_atomically(const std::filesystem::path& target, std::string_view bytes,
                           const FileCheck& check = {});

}  // namespace kb
