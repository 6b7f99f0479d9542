// The limits that every output which advises names, in the fewest words.
#pragma once

namespace kb {

inline constexpr const char* kStandingLimits =
    "Visual only, not an asbestos survey. Only laboratory analysis confirms. Local rules and licensed practice decide.";

}  // namespace kb
