namespace KitMesh.Devices.Following;

/// <summary>Makes samples of one line, or says in words what is wrong with it.</summary>
/// <param name="line">The line.</param>
/// <param name="samples">Takes the samples.</param>
/// <returns>What is wrong; null when the line is sound.</returns>
internal delegate string? LineJudge(string line, ICollection<Sample> samples);
