using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Ledger;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>Who is in the mesh, who is out, and whose word counts: what the reports of enrolment and revocation say together.</summary>
/// <remarks>
/// <para>
/// Problem: these reports come in any order, some twice, some by hubs that heard little. Method: they are only collected (a
/// set union), and judged together. An enrolment proves itself by its certificates. A revocation counts when its writer is
/// this hub or holds a certificate as hub or keeper; of several for one node the lowest sequence of each origin counts,
/// and an origin that one of them does not list counts for nothing: what a revoking hub had not seen is not trusted.
/// </para>
/// <para>
/// A revocation by a node that was revoked itself counts all the same: it can only take proof away, and the two orders in
/// which hubs may hear of them then give the same result.
/// </para>
/// </remarks>
internal sealed class RightsBook(NodeId self, TripTrust? trust) : IWriterRights
{
    private const int MaxNodes = 10_000;
    private const int MaxOfOneWriter = 1_000;
    private readonly Lock _gate = new();
    private readonly Dictionary<NodeId, Dictionary<ReportKey, NodeRevoked>> _revocations = [];
    private ImmutableSortedDictionary<NodeId, EnrolledMember> _members = ImmutableSortedDictionary<NodeId, EnrolledMember>.Empty;
    private ImmutableSortedDictionary<NodeId, RevokedMember> _revoked = ImmutableSortedDictionary<NodeId, RevokedMember>.Empty;

    /// <summary>Sequences with more than one content. Where the writer was revoked, such a sequence proves nothing: one content may be forged.</summary>
    public Func<ImmutableSortedDictionary<ReportKey, ImmutableSortedSet<UInt128>>> Forks { get; set; } = static () => ImmutableSortedDictionary<ReportKey, ImmutableSortedSet<UInt128>>.Empty;

    /// <summary>Whether a report is certainly of the node that it names. All are, until somebody says otherwise.</summary>
    public Func<ReportKey, bool> Attests { get; set; } = static _ => true;

    /// <summary>The keys by which nodes sign their seals.</summary>
    public SealKeys Keys { get; } = new();

    /// <summary>Whether this hub asks who somebody is; one that does not has nobody's key, and seals mean nothing to it.</summary>
    public bool AsksWho => trust is not null;

    /// <summary>Somebody was revoked.</summary>
    public event Action? Changed;

    /// <summary>Every node that was let in, by name, with its newest certificate.</summary>
    public ImmutableSortedDictionary<NodeId, EnrolledMember> Members => Volatile.Read(ref _members);

    /// <summary>Every node that is no longer trusted.</summary>
    public ImmutableSortedDictionary<NodeId, RevokedMember> Revoked => Volatile.Read(ref _revoked);

    /// <summary>Takes a report in; other kinds are passed over.</summary>
    public void Add(Report report)
    {
        switch (report.Body)
        {
            case NodeEnrolled enrolled:
                AddMember(enrolled);
                break;
            case NodeRevoked revoked:
                if (TryCollect(report.Key, revoked))
                {
                    Settle();
                }

                break;
            default:
                break;
        }
    }

    /// <inheritdoc/>
    public bool MayProve(ReportKey report) => !IsPast(report) && IsAttested(report);

    /// <inheritdoc/>
    public bool IsAttested(ReportKey report) => trust is null || Attests(report);

    /// <inheritdoc/>
    public bool MayRelease(ReportKey report) =>
        !IsPast(report)
        && IsAttested(report)
        && (trust is null || report.Origin.Node == self || RolesOf(report.Origin.Node).HasFlag(MeshRoles.Keeper) || RolesOf(report.Origin.Node).HasFlag(MeshRoles.Hub));

    private MeshRoles RolesOf(NodeId node) => Members.TryGetValue(node, out EnrolledMember? member) ? member.Roles : MeshRoles.None;

    private bool IsPast(ReportKey report) =>
        Revoked.TryGetValue(report.Origin.Node, out RevokedMember? revoked)
        && (report.Sequence > revoked.LastValid.GetValueOrDefault(report.Origin.Epoch) || Forks().ContainsKey(report));

    /// <summary>Bounded by writer, so that one without the right cannot crowd out those that count.</summary>
    private bool TryCollect(ReportKey key, NodeRevoked revoked)
    {
        lock (_gate)
        {
            if (!_revocations.TryGetValue(key.Origin.Node, out Dictionary<ReportKey, NodeRevoked>? byWriter))
            {
                if (_revocations.Count >= MaxNodes)
                {
                    return false;
                }

                _revocations.Add(key.Origin.Node, byWriter = []);
            }

            return byWriter.Count < MaxOfOneWriter && byWriter.TryAdd(key, revoked);
        }
    }

    private void AddMember(NodeEnrolled enrolled)
    {
        if (trust is null || Read(enrolled, out byte[] key) is not { } member)
        {
            return;
        }

        Keys.Add(member.Node, member.Issuer, member.Pin, key);

        lock (_gate)
        {
            bool isNewer = !_members.TryGetValue(member.Node, out EnrolledMember? known) || member.CompareTo(known) > 0;
            if (!isNewer || (known is null && _members.Count >= MaxNodes))
            {
                return;
            }

            _members = _members.SetItem(member.Node, member);
        }

        // A revocation may have waited for its writer's certificate.
        Settle();
    }

    private EnrolledMember? Read(NodeEnrolled enrolled, out byte[] key)
    {
        key = [];
        if (enrolled.Certificate.Count > CertificateProfile.MaxBytes || enrolled.Issuer.Count > CertificateProfile.MaxBytes)
        {
            return null;
        }

        try
        {
            using X509Certificate2 certificate = X509CertificateLoader.LoadCertificate(enrolled.Certificate.AsSpan());
            using X509Certificate2? issuer = enrolled.Issuer.Count == 0 ? null : X509CertificateLoader.LoadCertificate(enrolled.Issuer.AsSpan());
            key = certificate.PublicKey.ExportSubjectPublicKeyInfo();
            return trust!.Judge(certificate, issuer is null ? [] : [issuer]) is TrustVerdict.Member member && member.Node == enrolled.Node
                ? new EnrolledMember(member.Node, member.Roles, member.Issuer, member.Span, KeyPin.Of(certificate))
                : null;
        }
        catch (Exception odd) when (CertificateProfile.IsOddInput(odd))
        {
            // Kept and passed on like every odd report; it says nothing.
            return null;
        }
    }

    private void Settle()
    {
        bool moved;
        lock (_gate)
        {
            ImmutableSortedDictionary<NodeId, RevokedMember> before = _revoked;
            _revoked = _revocations
                .Where(writer => Counts(writer.Key))
                .SelectMany(writer => writer.Value)
                .OrderBy(entry => entry.Key)
                .GroupBy(entry => entry.Value.Node, entry => entry.Value)
                .ToImmutableSortedDictionary(node => node.Key, node => RevokedMember.Of([.. node]));
            moved = _revoked.Count != before.Count;
        }

        if (moved)
        {
            Changed?.Invoke();
        }
    }

    private bool Counts(NodeId by) =>
        trust is null || by == self || RolesOf(by).HasFlag(MeshRoles.Hub) || RolesOf(by).HasFlag(MeshRoles.Keeper);
}
