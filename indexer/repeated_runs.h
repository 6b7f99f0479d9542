// Boilerplate: the same long run of words in too many pages.
#pragma once

#include "indexer/corpus.h"
#include "indexer/house_style.h"
#include "indexer/problem.h"

namespace indexer {

// Reports each passage that holds a run of `run_words` words which stands in more than `run_pages`
// pages. Signs and case do not count; a run lies inside one passage. The memory used is one bit pair
// for about an eighth of the corpus' words at first, and then what is really repeated.
void check_repeated_runs(const Corpus& corpus, const HouseStyle& style, Problems& problems);

}  // namespace indexer
