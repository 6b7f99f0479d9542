// Answers on their way to standard output; kb/atomic_file.h writes files.
#pragma once

#include <string_view>

namespace cli {

// Writes all of `bytes` to descriptor 1. False: the reader left (`letbe ... | head`), which the
// caller should take as a quiet end; SIGPIPE must be ignored. Throws kb::Error for anything else,
// such as a full disk behind a redirection.
bool write_stdout(std::string_view bytes);

}  // namespace cli
