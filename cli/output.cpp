#include "cli/output.h"

#include <unistd.h>

#include <cerrno>
#include <string>
#include <system_error>

#include "kb/atomic_file.h"
#include "kb/error.h"

namespace cli {

bool write_stdout(std::string_view bytes) {
  const int error = kb::write_to(STDOUT_FILENO, bytes);
  if (error == 0) return true;
  if (error == EPIPE) return false;
  throw kb::Error("cannot write to standard output: " + std::generic_category().message(error) +
                  "; check where the output is sent");
}

namespace {

constexpr std::size_t kPart = std::size_t{1} << 16;

}  // namespace

OutputFile::OutputFile(const std::string& path) {
  if (!path.empty() && path != "-") file_ = std::make_unique<kb::AtomicFile>(path);
}

void OutputFile::add(std::string_view bytes) {
  if (bytes.size() + waiting_.size() < kPart) {
    waiting_ += bytes;
    return;
  }
  flush();
  if (bytes.size() < kPart) {
    waiting_ = bytes;
  } else if (file_) {
    file_->append(bytes);
  } else {
    open_ = open_ && write_stdout(bytes);
  }
}

void OutputFile::flush() {
  if (waiting_.empty()) return;
  if (file_) {
    file_->append(waiting_);
  } else {
    open_ = open_ && write_stdout(waiting_);
  }
  waiting_.clear();
}

void OutputFile::finish() {
  flush();
  if (file_) file_->commit();
}

}  // namespace cli
