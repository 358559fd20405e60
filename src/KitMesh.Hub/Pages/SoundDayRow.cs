using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>How far a recorder's sound covers the picture of one day.</summary>
/// <param name="Day">The crew's day.</param>
/// <param name="Words">The whole day in words, with a shape.</param>
/// <param name="Lacks">What has no sound, clip by clip.</param>
/// <param name="More">How many more clips lack sound than are listed.</param>
public sealed record SoundDayRow(LocalDate Day, string Words, IReadOnlyList<string> Lacks, int More);
