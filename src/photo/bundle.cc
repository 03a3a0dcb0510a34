// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "bundle.h"

#include <ceres/ceres.h>
#include <ceres/rotation.h>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <Eigen/SparseCore>
#include <cmath>

#include "edge_cost.h"

namespace fairhole::photo {
namespace {

constexpr double kHuberSigmas = 2.5;

/// camera.h's project(), for any number type.
template <class T>
void project_point(const T* lens, const T* pose, const T* point, T* pixel) {
  T seen[3];
  ceres::AngleAxisRotatePoint(pose, point, seen);
  for (int i = 0; i < 3; ++i) seen[i] += pose[3 + i];
  const T x = seen[0] / seen[2], y = seen[1] / seen[2];
  const T r2 = x * x + y * y;
  const T radial = T(1.0) + r2 * (lens[kRadial1] + r2 * lens[kRadial2]);
  const T focal = exp(lens[kLnFocal]);
  pixel[0] = lens[kCentreX] + focal * (x * radial + T(2.0) * lens[kTangent1] * x * y +
                                       lens[kTangent2] * (r2 + T(2.0) * x * x));
  pixel[1] = lens[kCentreY] + focal * (y * radial + lens[kTangent1] * (r2 + T(2.0) * y * y) +
                                       T(2.0) * lens[kTangent2] * x * y);
}

template <class T>
void place_on_board(const T* board, const Eigen::Vector2d& designed, T* point) {
  const T x = board[kScaleX] * designed.x(), y = board[kScaleY] * designed.y();
  const T c = cos(board[kBoardTurn]), s = sin(board[kBoardTurn]);
  point[0] = board[kBoardX] + c * x - s * y;
  point[1] = board[kBoardY] + s * x + c * y;
  point[2] = board[kBoardLift];
}

struct HoleCost {
  Eigen::Vector2d seen;
  Eigen::Matrix2d whiten;  // times its transpose the inverse of the covariance

  template <class T>
  bool operator()(const T* lens, const T* pose, const T* hole, T* residual) const {
    const T point[3] = {hole[0], hole[1], T(0.0)};
    T pixel[2];
    project_point(lens, pose, point, pixel);
    const T dx = pixel[0] - seen.x(), dy = pixel[1] - seen.y();
    residual[0] = whiten(0, 0) * dx + whiten(0, 1) * dy;
    residual[1] = whiten(1, 0) * dx + whiten(1, 1) * dy;
    return true;
  }
};

/// One unknown of a block against what is known of it beforehand.
template <int Size>
struct PriorCost {
  int index;
  Prior prior;

  template <class T>
  bool operator()(const T* block, T* residual) const {
    residual[0] = (block[index] - prior.mean) / prior.sigma;
    return true;
  }
};

template <int Size>
void add_prior(ceres::Problem& problem, double* block, int index, const Prior& prior) {
  if (prior.sigma <= 0.0) return;
  problem.AddResidualBlock(
      new ceres::AutoDiffCostFunction<PriorCost<Size>, 1, Size>(new PriorCost<Size>{index, prior}), nullptr,
      block);
}

/// Priors of a growth of 0: a third of a pixel covers every tone curve and dot gain we know of.
constexpr Prior kGrowth{0.0, 0.5};

void add_lenses(ceres::Problem& problem, Bundle& bundle) {
  for (LensState& lens : bundle.lenses) {
    double* block = lens.value.data();
    if (!problem.HasParameterBlock(block)) continue;
    for (int i = 0; i < kLensUnknowns; ++i)
      add_prior<kLensUnknowns>(problem, block, i, lens.prior[static_cast<std::size_t>(i)]);
    std::vector<int> held;
    if (!bundle.tangential) held = {kTangent1, kTangent2};
    if (!bundle.stretch) held.push_back(kLnStretch);
    if (!held.empty()) problem.SetManifold(block, new ceres::SubsetManifold(kLensUnknowns, held));
  }
}

void add_boards(ceres::Problem& problem, Bundle& bundle) {
  for (std::size_t b = 0; b < bundle.boards.size(); ++b) {
    BoardState& board = bundle.boards[b];
    double* block = board.value.data();
    if (!problem.HasParameterBlock(block)) continue;
    for (const int i : {kBoardLift, kScaleX, kScaleY})
      add_prior<kBoardUnknowns>(problem, block, i, board.prior[static_cast<std::size_t>(i)]);
    for (const Prior& bar : board.bars_x) add_prior<kBoardUnknowns>(problem, block, kScaleX, bar);
    for (const Prior& bar : board.bars_y) add_prior<kBoardUnknowns>(problem, block, kScaleY, bar);
    std::vector<int> held;
    if (static_cast<int>(b) == bundle.frame) held = {kBoardX, kBoardY, kBoardTurn};
    if (board.prior[kBoardLift].sigma <= 0.0) held.push_back(kBoardLift);
    if (!held.empty()) problem.SetManifold(block, new ceres::SubsetManifold(kBoardUnknowns, held));
  }
}

/// The problem takes it over.
ceres::LossFunction* loss_of(bool robust) { return robust ? new ceres::HuberLoss(kHuberSigmas) : nullptr; }

void add_edges(const BundleInput& input, bool robust, ceres::Problem& problem, Bundle& bundle) {
  for (std::size_t p = 0; p < bundle.photos.size(); ++p) {
    PhotoState& photo = bundle.photos[p];
    if (!photo.placed) continue;
    bool any = false;
    for (std::size_t e = 0; e < input.sights[p].edges.size(); ++e) {
      const EdgeSight& edge = input.sights[p].edges[e];
      BoardState& board = bundle.boards[static_cast<std::size_t>(edge.board)];
      if (!board.placed || !input.use[p][e]) continue;
      problem.AddResidualBlock(new EdgeCost(edge, edge_sigma(bundle, edge)), loss_of(robust),
                               bundle.lenses[static_cast<std::size_t>(photo.lens)].value.data(),
                               photo.pose.data(), &photo.growth, board.value.data());
      any = true;
    }
    if (any) add_prior<1>(problem, &photo.growth, 0, kGrowth);
  }
}

void add_holes(const BundleInput& input, bool robust, ceres::Problem& problem, Bundle& bundle) {
  for (std::size_t h = 0; h < input.holes.size(); ++h)
    for (const HoleTie::Seen& seen : input.holes[h].seen) {
      PhotoState& photo = bundle.photos[static_cast<std::size_t>(seen.photo)];
      const Eigen::Matrix2d whiten =
          Eigen::LLT<Eigen::Matrix2d>(seen.cov_px2).matrixL().solve(Eigen::Matrix2d::Identity());
      problem.AddResidualBlock(
          new ceres::AutoDiffCostFunction<HoleCost, 2, kLensUnknowns, 6, 2>(new HoleCost{seen.pixel, whiten}),
          loss_of(robust), bundle.lenses[static_cast<std::size_t>(photo.lens)].value.data(),
          photo.pose.data(), bundle.holes[h].data());
    }
}

void build(const BundleInput& input, bool robust, ceres::Problem& problem, Bundle& bundle) {
  add_edges(input, robust, problem, bundle);
  add_holes(input, robust, problem, bundle);
  add_lenses(problem, bundle);
  add_boards(problem, bundle);
}

/// The unknowns that are free, in one row, for the covariance.
struct Columns {
  std::vector<double*> blocks;
  std::vector<int> first;  // column of each block

  int find(const double* block) const {
    for (std::size_t i = 0; i < blocks.size(); ++i)
      if (blocks[i] == block) return first[i];
    return -1;
  }
};

/// In the bundle's own order: Ceres lists them by their addresses, which differ from run to run, and with
/// them the last digits of the covariance.
Columns columns_of(const ceres::Problem& problem, Bundle& bundle) {
  Columns columns;
  const auto add = [&](double* block) {
    if (problem.HasParameterBlock(block)) columns.blocks.push_back(block);
  };
  for (LensState& lens : bundle.lenses) add(lens.value.data());
  for (PhotoState& photo : bundle.photos) {
    add(photo.pose.data());
    add(&photo.growth);
  }
  for (BoardState& board : bundle.boards) add(board.value.data());
  for (Eigen::Vector2d& hole : bundle.holes) add(hole.data());
  int next = 0;
  for (const double* block : columns.blocks) {
    columns.first.push_back(next);
    next += problem.ParameterBlockTangentSize(block);
  }
  return columns;
}

/// Inverse of J'J, with the columns brought to one length first: focal lengths and lifts differ by 10^6.
std::optional<Eigen::MatrixXd> inverse_normals(ceres::Problem& problem, const Columns& columns) {
  ceres::Problem::EvaluateOptions options;
  options.parameter_blocks = columns.blocks;
  ceres::CRSMatrix rows;
  if (!problem.Evaluate(options, nullptr, nullptr, nullptr, &rows)) return std::nullopt;
  const Eigen::Map<const Eigen::SparseMatrix<double, Eigen::RowMajor>> jacobian(
      rows.num_rows, rows.num_cols, static_cast<int>(rows.values.size()), rows.rows.data(), rows.cols.data(),
      rows.values.data());
  const Eigen::SparseMatrix<double> sparse = jacobian.transpose() * jacobian;
  Eigen::MatrixXd normal(sparse);
  const Eigen::VectorXd scale = normal.diagonal().cwiseSqrt().cwiseMax(1e-30).cwiseInverse();
  normal = scale.asDiagonal() * normal * scale.asDiagonal();
  const Eigen::LLT<Eigen::MatrixXd> factor(normal);
  if (factor.info() != Eigen::Success) return std::nullopt;
  Eigen::MatrixXd inverse = factor.solve(Eigen::MatrixXd::Identity(normal.rows(), normal.cols()));
  return scale.asDiagonal() * inverse * scale.asDiagonal();
}

/// Sigma of a block's unknowns; 0 for those that are held.
template <std::size_t Size>
std::array<double, Size> sigmas(const ceres::Problem& problem, const Columns& columns, const double* block,
                                const Eigen::MatrixXd& covariance) {
  std::array<double, Size> out{};
  const int first = columns.find(block);
  if (first < 0) return out;
  const ceres::Manifold* manifold = problem.GetManifold(block);
  const int free = problem.ParameterBlockTangentSize(block);
  Eigen::Matrix<double, static_cast<int>(Size), Eigen::Dynamic, Eigen::RowMajor> plus =
      Eigen::MatrixXd::Identity(static_cast<int>(Size), free);
  if (manifold != nullptr) manifold->PlusJacobian(block, plus.data());
  const Eigen::MatrixXd own = plus * covariance.block(first, first, free, free) * plus.transpose();
  for (std::size_t i = 0; i < Size; ++i)
    out[i] = std::sqrt(own(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(i)));
  return out;
}

}  // namespace

View view_of(const Bundle& bundle, int index) {
  const PhotoState& photo = bundle.photos[static_cast<std::size_t>(index)];
  const auto& l = bundle.lenses[static_cast<std::size_t>(photo.lens)].value;
  View view;
  view.lens = {std::exp(l[kLnFocal]), {l[kCentreX], l[kCentreY]}, l[kRadial1], l[kRadial2], l[kTangent1],
               l[kTangent2]};
  const Eigen::Vector3d turn(photo.pose[0], photo.pose[1], photo.pose[2]);
  if (turn.norm() > 0.0)
    view.camera_from_world = Eigen::AngleAxisd(turn.norm(), turn.normalized()).toRotationMatrix();
  view.origin_mm = {photo.pose[3], photo.pose[4], photo.pose[5]};
  return view;
}

Eigen::Vector3d world_of(const BoardState& board, const Eigen::Vector2d& board_mm) {
  Eigen::Vector3d point;
  place_on_board(board.value.data(), board_mm, point.data());
  return point;
}

double edge_misfit(const Bundle& bundle, int photo, const EdgeSight& edge) {
  const auto& state = bundle.photos[static_cast<std::size_t>(photo)];
  const auto& board = bundle.boards[static_cast<std::size_t>(edge.board)];
  double misfit = 0.0;
  const double* unknowns[] = {bundle.lenses[static_cast<std::size_t>(state.lens)].value.data(),
                              state.pose.data(), &state.growth, board.value.data()};
  EdgeCost(edge, 1.0).Evaluate(unknowns, &misfit, nullptr);
  return misfit;
}

double edge_sigma(const Bundle& bundle, const EdgeSight& edge) {
  return bundle.edge_factor * std::hypot(edge.sigma_px, bundle.model_sigma_px);
}

std::optional<double> solve_bundle(const BundleInput& input, bool robust, int most_steps, Bundle& bundle) {
  ceres::Problem problem;
  build(input, robust, problem, bundle);
  if (problem.NumResidualBlocks() == 0) return std::nullopt;
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;
  options.max_num_iterations = most_steps;
  options.function_tolerance = 1e-12;
  options.parameter_tolerance = 1e-12;
  options.gradient_tolerance = 1e-12;
  options.logging_type = ceres::SILENT;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  if (!summary.IsSolutionUsable()) return std::nullopt;
  return summary.final_cost;
}

std::optional<BundleCovariance> bundle_covariance(const BundleInput& input, Bundle& bundle) {
  ceres::Problem problem;
  build(input, false, problem, bundle);
  const Columns columns = columns_of(problem, bundle);
  const auto covariance = inverse_normals(problem, columns);
  if (!covariance) return std::nullopt;
  BundleCovariance out;
  const auto count = static_cast<Eigen::Index>(bundle.holes.size());
  out.holes_mm2.resize(2 * count, 2 * count);
  std::vector<int> first;
  for (const Eigen::Vector2d& hole : bundle.holes) first.push_back(columns.find(hole.data()));
  for (Eigen::Index i = 0; i < count; ++i)
    for (Eigen::Index j = 0; j < count; ++j)
      out.holes_mm2.block<2, 2>(2 * i, 2 * j) =
          covariance->block<2, 2>(first[static_cast<std::size_t>(i)], first[static_cast<std::size_t>(j)]);
  for (const LensState& lens : bundle.lenses) {
    const auto sigma = sigmas<kLensUnknowns>(problem, columns, lens.value.data(), *covariance);
    out.ln_focal_sigma.push_back(sigma[kLnFocal]);
    out.ln_stretch_sigma.push_back(sigma[kLnStretch]);
  }
  for (const BoardState& board : bundle.boards)
    out.board_sigma.push_back(sigmas<kBoardUnknowns>(problem, columns, board.value.data(), *covariance));
  return out;
}

}  // namespace fairhole::photo
