// Remarks to the writer of a note, apart from the client's text. Internal to the note reader.
#pragma once

#include <vector>

#include "kb/reading.h"
#include "kb/scene.h"

namespace kb {

// Appends what the writer of this observation should look at again: words of comfort, certainty,
// price or a trade, and a place or extent that is missing. Silent where nothing suspect was found.
void add_remarks(const Scene& scene, const ObservationReading& reading, std::vector<Remark>& out);

}  // namespace kb
