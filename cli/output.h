// Answers on their way out; kb/atomic_file.h writes files.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "kb/atomic_file.h"

namespace cli {

// Writes all of `bytes` to descriptor 1. False: the reader left (`letbe ... | head`), which the
// caller should take as a quiet end; SIGPIPE must be ignored. Throws kb::Error for anything else,
// such as a full disk behind a redirection.
bool write_stdout(std::string_view bytes);

// An answer given part by part: to standard output for "" and "-", else to a file that takes its name
// in finish(), and is not there before. Throws kb::Error as kb::AtomicFile and write_stdout() do.
class OutputFile {
 public:
  explicit OutputFile(const std::string& path);

  void add(std::string_view bytes);
  // False when whoever read standard output has left.
  bool open() const { return open_; }
  void finish();

 private:
  void flush();

  std::unique_ptr<kb::AtomicFile> file_;
  std::string waiting_;
  bool open_ = true;
};

}  // namespace cli
