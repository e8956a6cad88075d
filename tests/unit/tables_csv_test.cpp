// CSV for spreadsheets. Source: RFC 4180 (section 2 beside the checks); what a spreadsheet runs is
// common practice, no source.
#include "hub/feed/tables_csv.h"

#include <algorithm>

#include <gtest/gtest.h>

namespace honbu {
namespace {

// 2.5 and 2.7: quotes around what holds commas, line ends or quotes, and these doubled.
TEST(Csv, CellsAreQuotedWhereTheyMust) {
    EXPECT_EQ(csv_cell("plain"), "plain");
    EXPECT_EQ(csv_cell(""), "");
    EXPECT_EQ(csv_cell("a,b"), "\"a,b\"");
    EXPECT_EQ(csv_cell("a\r\nb"), "\"a\r\nb\"");
    EXPECT_EQ(csv_cell("say \"ippon\""), "\"say \"\"ippon\"\"\"");
    EXPECT_EQ(csv_cell(" blank "), "\" blank \"");
    EXPECT_EQ(csv_cell("a;b"), "\"a;b\"");
    EXPECT_EQ(csv_cell("Inès"), "Inès");
    // The full-width forms, which some spreadsheets take for the same (from memory).
    for (const std::string wide : {"＝1", "＋1", "－1", "＠x"}) {
        EXPECT_EQ(csv_cell(wide), "\"'" + wide + "\"");
    }
    EXPECT_EQ(csv_cell("嘉納＝1"), "嘉納＝1");
}

TEST(Csv, NothingInACellIsRun) {
    for (const char c : {'=', '+', '-', '@', '\t', '\r'}) {
        const std::string text = std::string(1, c) + "1";
        EXPECT_EQ(csv_cell(text), "\"'" + text + "\"") << static_cast<int>(c);
        EXPECT_EQ(csv_cell("  " + text), "\"  '" + text + "\"");
        // Where the comma is the decimal sign, cells end elsewhere.
        for (const char separator : {',', ';', '|', '\n'}) {
            EXPECT_EQ(csv_cell(std::string("Ann") + separator + text),
                      std::string("\"Ann") + separator + "'" + text + "\"");
        }
    }
    EXPECT_EQ(csv_cell("a\"=1"), "\"a\"\"'=1\"");
    EXPECT_EQ(csv_cell("Val-d'Aubrelle"), "\"Val-d'Aubrelle\"");
    EXPECT_EQ(csv_cell("0:35 + 1:20 = 1:55"), "0:35 + 1:20 = 1:55");
}

// 2.1 and 2.4: CRLF after each line, the same number of cells in each.
TEST(Csv, RowsHaveAllCells) {
    EXPECT_EQ(csv_row({"", "b", ""}), ",b,\r\n");
    const auto commas = [](const std::string& row) {
        return std::count(row.begin(), row.end(), ',');
    };
    Finished item;
    item.bout.white.name = "Ada Norlund";
    EXPECT_EQ(commas(results_csv_row(item)), commas(results_csv_head()));
    BoutSheet sheet;
    sheet.lines.resize(1);
    const std::string text = sheet_csv(sheet);
    const std::size_t end = text.find("\r\n");
    EXPECT_EQ(commas(text.substr(0, end)), commas(text.substr(end)));
}

// docs/http.md: the last column. Why the desk did it is nobody else's business.
TEST(Csv, AResultSaysWhereItCameFrom) {
    Finished item;
    EXPECT_TRUE(results_csv_head().ends_with(",from\r\n"));
    const std::pair<ResultFrom, const char*> words[] = {
        {ResultFrom::table, ",table\r\n"},
        {ResultFrom::paper, ",paper\r\n"},
        {ResultFrom::desk, ",desk\r\n"},
        {ResultFrom::other_record, ",other record\r\n"}};
    for (const auto& [from, end] : words) {
        item.from = from;
        EXPECT_TRUE(results_csv_row(item).ends_with(end)) << results_csv_row(item);
    }
}

TEST(Csv, AResultNamesItsWinner) {
    Finished item;
    item.number = RecordNumber{9};
    item.mat = MatId{2};
    item.bout.bout = BoutId{7};
    item.bout.white.name = "Ada Norlund";
    item.bout.blue.name = "Mirela Costin";
    item.result.winner = Winner::blue;
    item.result.way = Way::waza_ari;
    item.result.regular = seconds(240);
    item.result.golden = seconds(41);
    item.result.golden_score = true;
    item.result.blue.score[index(Level::waza_ari)] = 1;
    item.result.white.shido = 2;
    item.words = "blue wins by waza-ari";
    EXPECT_EQ(results_csv_row(item),
              "9,2,7,,,Ada Norlund,,Mirela Costin,,second,Mirela Costin,waza-ari,"
              "blue wins by waza-ari,0,yes,4:41,0,0,0,0,2,,0,1,0,0,0,,table\r\n");
    item.result.winner = Winner::both_lose;
    EXPECT_NE(results_csv_row(item).find(",both lose,,"), std::string::npos);
}

}  // namespace
}  // namespace honbu
