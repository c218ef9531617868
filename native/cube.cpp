#include "cube.hpp"

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#define NIGHTFOLD_X86 1
#endif

namespace nightfold {

namespace {

#ifdef NIGHTFOLD_X86

__attribute__((target("avx2"))) void multiply_avx2(const Cube* a, bool one_a, const Cube* b, bool one_b, Cube* out,
                                                   std::size_t count) {
  const __m256i low = _mm256_set1_epi8(0x0f);
  const __m256i wrap = _mm256_setr_m128i(_mm_set1_epi8(0x20), _mm_set1_epi8(0x30));
  const std::size_t step_a = one_a ? 0 : 1, step_b = one_b ? 0 : 1;
  for (std::size_t i = 0; i < count; ++i) {
    const __m256i x = _mm256_loadu_si256(reinterpret_cast<const __m256i*>(a + i * step_a));
    const __m256i y = _mm256_loadu_si256(reinterpret_cast<const __m256i*>(b + i * step_b));
    const __m256i taken = _mm256_shuffle_epi8(x, _mm256_and_si256(y, low));
    const __m256i sum = _mm256_add_epi8(taken, _mm256_andnot_si256(low, y));
    const __m256i product = _mm256_min_epu8(sum, _mm256_sub_epi8(sum, wrap));
    _mm256_storeu_si256(reinterpret_cast<__m256i*>(out + i), product);
  }
}

__attribute__((target("ssse3"))) void multiply_ssse3(const Cube* a, bool one_a, const Cube* b, bool one_b, Cube* out,
                                                     std::size_t count) {
  const __m128i low = _mm_set1_epi8(0x0f);
  const std::size_t step_a = one_a ? 0 : 1, step_b = one_b ? 0 : 1;
  for (std::size_t i = 0; i < count; ++i) {
    for (int half = 0; half < 2; ++half) {
      const __m128i wrap = _mm_set1_epi8(half ? 0x30 : 0x20);
      const __m128i x = _mm_loadu_si128(reinterpret_cast<const __m128i*>(a + i * step_a) + half);
      const __m128i y = _mm_loadu_si128(reinterpret_cast<const __m128i*>(b + i * step_b) + half);
      const __m128i taken = _mm_shuffle_epi8(x, _mm_and_si128(y, low));
      const __m128i sum = _mm_add_epi8(taken, _mm_andnot_si128(low, y));
      const __m128i product = _mm_min_epu8(sum, _mm_sub_epi8(sum, wrap));
      _mm_storeu_si128(reinterpret_cast<__m128i*>(out + i) + half, product);
    }
  }
}

__attribute__((target("avx2"))) void shuffle_only_avx2(const Cube* a, const Cube& b, Cube* out, std::size_t count) {
  const __m256i order = _mm256_and_si256(_mm256_loadu_si256(reinterpret_cast<const __m256i*>(&b)), _mm256_set1_epi8(15));
  for (std::size_t i = 0; i < count; ++i) {
    const __m256i x = _mm256_loadu_si256(reinterpret_cast<const __m256i*>(a + i));
    _mm256_storeu_si256(reinterpret_cast<__m256i*>(out + i), _mm256_shuffle_epi8(x, order));
  }
}

#endif

void multiply_scalar(const Cube* a, bool one_a, const Cube* b, bool one_b, Cube* out, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) out[i] = product_scalar(a[one_a ? 0 : i], b[one_b ? 0 : i]);
}

}  // namespace

bool has_path(Path path) {
  switch (path) {
    case Path::scalar:
      return true;
#ifdef NIGHTFOLD_X86
    case Path::ssse3:
      return __builtin_cpu_supports("ssse3");
    case Path::avx2:
      return __builtin_cpu_supports("avx2");
#endif
    default:
      return false;
  }
}

Path best_path() {
  static const Path best = has_path(Path::avx2) ? Path::avx2 : has_path(Path::ssse3) ? Path::ssse3 : Path::scalar;
  return best;
}

void multiply(const Cube* a, bool one_a, const Cube* b, bool one_b, Cube* out, std::size_t count, Path path) {
#ifdef NIGHTFOLD_X86
  if (path == Path::avx2) return multiply_avx2(a, one_a, b, one_b, out, count);
  if (path == Path::ssse3) return multiply_ssse3(a, one_a, b, one_b, out, count);
#endif
  multiply_scalar(a, one_a, b, one_b, out, count);
}

void shuffle_only(const Cube* a, const Cube& b, Cube* out, std::size_t count) {
#ifdef NIGHTFOLD_X86
  if (has_path(Path::avx2)) return shuffle_only_avx2(a, b, out, count);
#endif
  for (std::size_t i = 0; i < count; ++i)
    for (std::size_t k = 0; k < kBytes; ++k) out[i].at[k] = a[i].at[(k & 16) | (b.at[k] & 15)];
}

}  // namespace nightfold
