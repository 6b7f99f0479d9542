#include <iostream>
#include <string>
#include <vector>

#include "indexer/run.h"

int main(int argc, char** argv) {
  return indexer::run(std::vector<std::string>(argv + (argc > 0 ? 1 : 0), argv + argc), std::cout,
                      std::cerr);
}
