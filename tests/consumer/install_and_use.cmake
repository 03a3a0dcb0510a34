# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
# cmake -DBUILD=... -DSOURCE=... -DWORK=... -P: installs the build, then builds and runs the consumer against it, found by
# CMake and by pkg-config.
file(REMOVE_RECURSE ${WORK})
foreach(step
    "${CMAKE_COMMAND};--install;${BUILD};--prefix;${WORK}/prefix"
    "${CMAKE_COMMAND};-S;${SOURCE};-B;${WORK}/build;-DCMAKE_PREFIX_PATH=${WORK}/prefix;-DCMAKE_BUILD_TYPE=Release"
    "${CMAKE_COMMAND};--build;${WORK}/build"
    "${WORK}/build/consumer"
    "sh;-ec;export PKG_CONFIG_PATH=$(dirname $(find ${WORK}/prefix -name fairhole.pc)) &&
       c++ ${SOURCE}/consumer.cc -o ${WORK}/by-pkg-config $(pkg-config --cflags --libs fairhole) && ${WORK}/by-pkg-config")
  execute_process(COMMAND ${step} OUTPUT_VARIABLE said ERROR_VARIABLE said RESULT_VARIABLE status)
  if(NOT status EQUAL 0)
    message(FATAL_ERROR "${step}\n${said}\nexit status ${status}")
  endif()
endforeach()
