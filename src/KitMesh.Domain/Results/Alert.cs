using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>A condition that someone must know of now, and that stands.</summary>
/// <param name="Rule">The rule's name in the alert catalogue.</param>
/// <param name="Subject">What it is about.</param>
/// <param name="Weight">How much it asks of people.</param>
/// <param name="Since">When it was raised.</param>
/// <param name="What">What was seen, with its figures.</param>
/// <param name="Do">What is safe now and what to do next.</param>
public sealed record Alert(string Rule, KitId Subject, AlertWeight Weight, Instant Since, string What, string Do);
