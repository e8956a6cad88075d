// What is wrong with a competition file, in the order found: the first 20, the rest only counted.
//
// A file with a wrong column would else fill the screen with 2,000 times the same sentence.
// A value, any thread.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "hub/competition/competition_file.h"

namespace honbu {

inline constexpr std::size_t faults_listed_max = 20;

class FaultList {
public:
    void add(std::uint32_t line, std::string_view column, std::string reason) {
        if (listed_.size() < faults_listed_max) {
            listed_.push_back({line, std::string(column), std::move(reason)});
        } else {
            ++more_;
        }
    }
    // The line on which this was first found; a cause is explained there, and only named on others.
    std::uint32_t first_line(const std::string& cause, std::uint32_t line) {
        return first_.emplace(cause, line).first->second;
    }
    bool empty() const { return listed_.empty(); }

    std::vector<CsvFault> all() const {
        std::vector<CsvFault> faults = listed_;
        if (more_ > 0) faults.push_back({0, "", "and " + std::to_string(more_) + " more"});
        return faults;
    }

private:
    std::vector<CsvFault> listed_;
    std::map<std::string, std::uint32_t> first_;
    std::size_t more_ = 0;
};

}  // namespace honbu
