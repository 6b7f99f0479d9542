// A failure of the machine or of a file it was given: one line that says what, where and what to
// do. Mistakes in articles are data (indexer/problem.h); "nothing found" is an empty result.
#pragma once

#include <stdexcept>

namespace kb {

class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

}  // namespace kb
