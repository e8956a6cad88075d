// honbu journal people, person and erase: what a journal keeps about people, and that it goes.
//
// They print names, to whoever sits at this machine; nothing is written to a file but the erasure
// itself. Exit codes as in commands.h. docs/personal-data.md says what they are for.
#pragma once

#include <filesystem>
#include <string>

#include "engine/record/record.h"

namespace honbu {

int people_of_journal(const std::filesystem::path& data, const std::string& words);
int person_of_journal(const std::filesystem::path& data, PersonId person);
// With no hub running on it.
int erase_from_journal(const std::filesystem::path& data, const PersonErased& erased);

}  // namespace honbu
