// The commands that look at something and end: a competition file, a journal, rule sets.
//
// Each prints to standard output what was asked for, to standard error what is wrong, and returns
// the exit code: 0 all is well, 1 something is not. None of them changes what it looks at, but for
// upgrade_journal; the two that copy write to the other folder only.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace honbu {

int check_competition(const std::filesystem::path& file, const std::vector<std::string>& rules);
int replay_journal(const std::filesystem::path& data);  // every bout anew
int verify_journal(const std::filesystem::path& data);
int show_journal(const std::filesystem::path& data, std::uint32_t from);
int export_journal(const std::filesystem::path& data, std::uint32_t from);
int copy_journal(const std::filesystem::path& data, const std::filesystem::path& to);
int mirror_journal(const std::filesystem::path& data, const std::filesystem::path& to);
int upgrade_journal(const std::filesystem::path& data);
int list_rules();
int show_rules(const std::string& name);
int check_rules(const std::filesystem::path& file);

}  // namespace honbu
