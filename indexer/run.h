// The program letbe-index without its process: arguments in, exit code and messages out.
#pragma once

#include <iosfwd>
#include <string>
#include <vector>

namespace indexer {

enum ExitCode : int {
  kDone = 0,
  kWrongUse = 2,
  kBadInput = 3,
};

// `arguments` without the program's name. Answers go to `out`, problems and errors to `err`. Never
// throws.
int run(std::vector<std::string> arguments, std::ostream& out, std::ostream& err);

}  // namespace indexer
