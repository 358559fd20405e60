using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One team's day on an intermediate drive: may it be cleared.</summary>
/// <param name="Day">The civil day.</param>
/// <param name="Team">The team; null where the source is not declared.</param>
/// <param name="Clips">Clips of that day on the drive.</param>
/// <param name="Size">Their bytes.</param>
/// <param name="MayBeCleared">Whether all of them meet their copy rule without this drive.</param>
/// <param name="LeastCopies">The fewest proven copies that any of them has elsewhere.</param>
/// <param name="LeastCases">The fewest cases of any.</param>
/// <param name="Reason">Why it may or may not be cleared, with figures.</param>
public sealed record ClearingStep(
    LocalDate Day,
    KitId? Team,
    int Clips,
    ByteCount Size,
    bool MayBeCleared,
    int LeastCopies,
    int LeastCases,
    string Reason);
