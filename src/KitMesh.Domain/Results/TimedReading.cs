using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>A reading with the time at which it is now believed to have been taken.</summary>
/// <param name="Time">The re-timed instant.</param>
/// <param name="Body">A battery, panel, load or temperature reading; other kinds are passed over.</param>
public readonly record struct TimedReading(Instant Time, ReportBody Body);
