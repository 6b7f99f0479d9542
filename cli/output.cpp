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

}  // namespace cli
