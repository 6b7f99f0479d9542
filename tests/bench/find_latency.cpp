// How long one question takes inside a process: the labelled questions over each database named, letbe's find
// beside a plain FTS5 query (bm25, an OR of the same words, ten rows). Prints percentiles and the ratio of sums.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "kb/database.h"
#include "kb/search.h"

namespace {

using Clock = std::chrono::steady_clock;

double milliseconds(Clock::time_point from) { return std::chrono::duration<double, std::milli>(Clock::now() - from).count(); }

std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> out(1);
  for (const char c : text) {
    if (std::isalnum(static_cast<unsigned char>(c)) != 0) out.back() += c;
    else if (!out.back().empty()) out.emplace_back();
  }
  return out;
}

double at(std::vector<double>& sorted, double share) { return sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))]; }

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) {
    std::fputs("usage: find_latency questions.jsonl DATABASE...\n", stderr);
    return 2;
  }
  std::vector<std::string> questions;
  std::ifstream in(argv[1]);
  for (std::string line; std::getline(in, line);) questions.push_back(nlohmann::json::parse(line).at("text").get<std::string>());
  for (int i = 2; i < argc; ++i) {
    const kb::Database db = kb::Database::from_file(argv[i]);
    std::vector<double> ours, plain;
    for (int round = 0; round < 3; ++round)
      for (const std::string& q : questions) {
        auto begin = Clock::now();
        kb::find(db, q, {});
        if (round > 0) ours.push_back(milliseconds(begin));
        begin = Clock::now();
        kb::Statement s = db.query("SELECT rowid FROM fts WHERE fts MATCH ?1 ORDER BY bm25(fts), rowid LIMIT 10");
        s.bind(1, kb::to_match_query(words_of(q)));
        while (s.step()) {
        }
        if (round > 0) plain.push_back(milliseconds(begin));
      }
    double sum = 0, peer = 0;
    for (const double t : ours) sum += t;
    for (const double t : plain) peer += t;
    std::sort(ours.begin(), ours.end());
    std::sort(plain.begin(), plain.end());
    std::printf("%s articles: find p50 %.2f ms, p99 %.2f ms; plain FTS5 p50 %.2f ms, p99 %.2f ms; ratio of sums %.2f\n", db.meta("articles").c_str(),
                at(ours, 0.5), at(ours, 0.99), at(plain, 0.5), at(plain, 0.99), sum / peer);
  }
}
