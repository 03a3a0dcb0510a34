# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
#
# Included: fairhole_embed(TARGET FILE...) compiles text files into TARGET, so that no file is read at run time.
# FILE "data/drills_metric.csv" becomes `extern const std::string_view drills_metric_csv` in fairhole::embedded.
# Run with -P (IN, OUT, NAME): writes one such source file.

if(CMAKE_SCRIPT_MODE_FILE)
  file(READ ${IN} text)
  file(WRITE ${OUT}
"// Made from ${NAME} by tools/cmake/EmbedText.cmake.
#include <string_view>
namespace fairhole::embedded {
extern const std::string_view ${NAME};
const std::string_view ${NAME} = R\"embedded(${text})embedded\";
}  // namespace fairhole::embedded
")
  return()
endif()

set(FAIRHOLE_EMBED_SCRIPT ${CMAKE_CURRENT_LIST_FILE})
function(fairhole_embed target)
  foreach(file ${ARGN})
    cmake_path(GET file FILENAME name)
    string(REGEX REPLACE "[.-]" "_" name ${name})
    set(in ${CMAKE_CURRENT_SOURCE_DIR}/${file})
    set(out ${CMAKE_CURRENT_BINARY_DIR}/embedded_${name}.cc)
    add_custom_command(OUTPUT ${out} DEPENDS ${in} ${FAIRHOLE_EMBED_SCRIPT} VERBATIM
      COMMAND ${CMAKE_COMMAND} -DIN=${in} -DOUT=${out} -DNAME=${name} -P ${FAIRHOLE_EMBED_SCRIPT})
    target_sources(${target} PRIVATE ${out})
  endforeach()
endfunction()
