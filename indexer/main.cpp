#include <iostream>
#include <string>
#include <vector>

#include "indexer/run.h"

int main(int argc, char** argv) {
  const int code = indexer::run(std::vector<std::string>(argv + (argc > 0 ? 1 : 0), argv + argc),
                                std::cout, std::cerr);
  if (std::cout.flush()) return code;
  std::cerr << "letbe-index: cannot write to standard output; check where the output is sent\n";
  return code == indexer::kDone ? indexer::kBadInput : code;
}
