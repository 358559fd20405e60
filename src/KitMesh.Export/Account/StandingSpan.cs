using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>A condition and how long it stood.</summary>
/// <param name="What">Its rule, reader or kind.</param>
/// <param name="Subject">What it is about.</param>
/// <param name="By">Who said so.</param>
/// <param name="Since">When it began.</param>
/// <param name="Until">When it ended; null when it stood at the end.</param>
/// <param name="Words">What was seen.</param>
/// <param name="Stood">How long inside the days asked for.</param>
public sealed record StandingSpan(string What, string Subject, string By, Instant Since, Instant? Until, string Words, Duration Stood);
