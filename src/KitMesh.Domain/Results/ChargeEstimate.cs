using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>How full a bank is believed to be, with honest bounds.</summary>
/// <param name="Low">One chance in ten that it is emptier.</param>
/// <param name="Best">The best estimate.</param>
/// <param name="High">One chance in ten that it is fuller.</param>
/// <param name="From">Where it comes from: "rested volts", "the device says", "the trip file".</param>
/// <param name="MeasuredAt">When; null when nothing was ever measured.</param>
public sealed record ChargeEstimate(StateOfCharge Low, StateOfCharge Best, StateOfCharge High, string From, Instant? MeasuredAt);
