// letbe's own counts for the outside check: one JSON string a line in, one JSON object a line out.
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>

#include "kb/readability.h"

int main() {
  for (std::string line; std::getline(std::cin, line);) {
    const auto text = nlohmann::json::parse(line).get<std::string>();
    const kb::ReadingCounts counts = kb::count_reading(text);
    std::cout << nlohmann::json{{"sentences", counts.sentences},
                                {"words", counts.words},
                                {"syllables", counts.syllables},
                                {"word", kb::count_syllables(text)},
                                {"grade", kb::flesch_kincaid_grade(counts)},
                                {"ease", kb::flesch_reading_ease(counts)}}
              << '\n';
  }
}
