using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Storage;

/// <summary>A report on its way into the store: journalled, decoded and timed.</summary>
/// <param name="Raw">The original bytes.</param>
/// <param name="Timed">What they say, with the time that holds now.</param>
/// <param name="Arrived">When this node journalled it, by its own world clock.</param>
public sealed record IncomingReport(RawReport Raw, TimedReport Timed, Instant Arrived);
