namespace KitMesh.Agent.Outbox;

/// <summary>One encoded report on its way into the journal, or a mark that somebody waits for what came before it.</summary>
/// <param name="Bytes">The report; empty for a mark.</param>
/// <param name="Urgent">Whether it ends the waiting for more.</param>
/// <param name="Done">Completed once everything up to here is durable; null when nobody waits.</param>
internal readonly record struct OutboxItem(ReadOnlyMemory<byte> Bytes, bool Urgent, TaskCompletionSource? Done);
