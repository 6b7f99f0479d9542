// What `letbe read ID` prints, for the checks against published figures.
#pragma once

#include <doctest/doctest.h>

#include <string>

#include "kb/articles.h"
#include "tests/unit/corpus_for_tests.h"

inline std::string printed(const std::string& id) {
  const auto article = kb::load_article(test_database(), id);
  REQUIRE_MESSAGE(article, id);
  return kb::to_markdown(*article, kb::Reader::everyone);
}

// Every run of white space as one blank, so that a sentence is found across the ends of lines.
inline std::string in_one_line(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const bool blank = c == ' ' || c == '\n';
    if (!blank) out += c;
    if (blank && !out.empty() && out.back() != ' ') out += ' ';
  }
  return out;
}

inline bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }
