// Answers on their way out: to a file that is never half-written, or to standard output.
//
// Both functions expect SIGPIPE to be ignored, so that a reader who leaves is an error code and not
// the end of the program. One thread only: the signal handler knows one temporary file.
#pragma once

#include <filesystem>
#include <string_view>

namespace cli {

// Makes `target` hold exactly `bytes`, or leaves it as it was.
//
// The bytes are written and synced under a hidden temporary name in the same folder
// (".<name>.<process>-<try>.tmp") and then renamed over the target, which keeps its mode; a new
// file gets the usual one. A symlink stays, and the file it points to is replaced or made. While
// this runs, SIGINT, SIGTERM and SIGHUP remove the temporary and then do what they did before.
// Devices and pipes are written directly, and so are /dev/stdout, /dev/stderr and /dev/fd/N,
// whatever stands behind them; a reader who left these is no failure, and the rest is dropped.
//
// Throws kb::Error, after removing the temporary, when the target is a folder or write-protected,
// or the system refuses: "cannot write 'out.txt': No space left on device; choose another folder
// with -o".
void write_file_atomically(const std::filesystem::path& target, std::string_view bytes);

// Writes all of `bytes` to descriptor 1. False: the reader left (`letbe ... | head`), which the
// caller should take as a quiet end. Throws kb::Error for anything else, such as a full disk behind
// a redirection.
bool write_stdout(std::string_view bytes);

}  // namespace cli
