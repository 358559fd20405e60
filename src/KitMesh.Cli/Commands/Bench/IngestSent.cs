namespace KitMesh.Cli.Commands.Bench;

/// <summary>What the sending process measured.</summary>
/// <param name="Seconds">From the first report sent to the last one durable.</param>
/// <param name="AckP50Ms">Median time from sending a batch to hearing that it is durable.</param>
/// <param name="AckP99Ms">The same, one in a hundred is slower.</param>
/// <param name="CpuSeconds">What sending cost this process.</param>
/// <param name="WireBytes">Bytes that went out on the connections, TLS and HTTP included.</param>
internal sealed record IngestSent(double Seconds, double AckP50Ms, double AckP99Ms, double CpuSeconds, long WireBytes);
